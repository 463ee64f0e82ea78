package archive

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/base32"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"steadfall/internal/safefile"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// Trial names one landing of one athlete.
type Trial struct {
	ID      int64           `json:"id"`
	Blind   string          `json:"blind"` // what raters know it by
	Athlete string          `json:"athlete"`
	Session Session         `json:"session"`
	Task    kinematics.Task `json:"task"`
	Limb    kinematics.Side `json:"limb"`
	Number  int             `json:"number"`  // from 1, of its task and limb in the session
	Landing int             `json:"landing"` // from 1, of the clips, where they hold several
}

// Name is how lists and messages call the trial.
func (t Trial) Name() string {
	s := fmt.Sprintf("%s, %s, %s", t.Athlete, t.Session.Date, t.Task)
	if t.Limb != kinematics.Both {
		s += " on the " + string(t.Limb) + " leg"
	}
	s += fmt.Sprintf(", trial %d", t.Number)
	if t.Landing > 1 {
		s += fmt.Sprintf(", landing %d", t.Landing)
	}
	return s
}

// View is one view of a trial as it is kept: enough to measure it again without the clip.
type View struct {
	Hash    string // of the file that came in, SHA-256 in hexadecimal
	Clip    string // to keep a copy of; empty for none. When read: the kept copy
	Points  string // how they were placed
	Track   kinematics.Track
	Options kinematics.Options
}

// Picture is one still of a trial.
type Picture struct {
	View    kinematics.View
	Moment  string
	Frame   int
	TimeS   float64
	Caption string
	JPEG    []byte
}

// Recording is a scored trial with everything that is kept of it.
type Recording struct {
	Trial     Trial
	Views     []View
	Result    scoring.Result // with the draws of its measures
	Checklist scoring.Checklist
	Pictures  []Picture
}

// Add keeps a trial. When it returns nil the trial is on the disk; when it fails, or the
// machine does, nothing of it is in the archive.
func (a *Archive) Add(ctx context.Context, r Recording) (id int64, err error) {
	files, err := a.keepFiles(&r)
	defer func() {
		if err != nil {
			a.dropUnused(ctx, files)
		}
	}()
	if err != nil {
		return 0, err
	}
	tracks := make([][]byte, len(r.Views))
	for i, v := range r.Views {
		if tracks[i], err = packTrack(v.Track); err != nil {
			return 0, err
		}
	}
	m, err := newMeasured(r.Result)
	if err != nil {
		return 0, err
	}
	err = a.write(ctx, func(tx *sql.Tx) error {
		t := r.Trial
		err := tx.QueryRowContext(ctx, `INSERT INTO trial (blind, session, athlete, task, limb, number, landing, made)
			SELECT ?, ?, id, ?, ?, ?, ?, ? FROM athlete WHERE code = ? RETURNING id`,
			blindName(), t.Session.ID, string(t.Task), string(t.Limb), t.Number, max(t.Landing, 1), a.stamp(), t.Athlete).Scan(&id)
		if err != nil {
			return fmt.Errorf("%s could not be added: %w", t.Name(), err)
		}
		for i, v := range r.Views {
			if err := addView(ctx, tx, id, v, tracks[i]); err != nil {
				return err
			}
		}
		for _, p := range r.Pictures {
			if _, err := tx.ExecContext(ctx, "INSERT INTO picture VALUES (?, ?, ?, ?, ?, ?, ?)", id, string(p.View), p.Moment, p.Frame, p.TimeS, p.Caption, pictureFile(p)); err != nil {
				return err
			}
		}
		meas, err := a.addMeasured(ctx, tx, id, r.Result.Tool, m)
		if err != nil {
			return err
		}
		list, err := ensureChecklist(ctx, tx, r.Checklist)
		if err != nil {
			return err
		}
		return a.addScore(ctx, tx, meas, list, r.Result.Tool, r.Result.Score)
	})
	return id, err
}

func addView(ctx context.Context, tx *sql.Tx, trial int64, v View, track []byte) error {
	options, err := json.Marshal(v.Options)
	if err != nil {
		return err
	}
	clip := ""
	if v.Clip != "" {
		clip = clipFile(v)
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO view VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		trial, string(v.Track.View), v.Hash, clip, v.Points, v.Track.Width, v.Track.Height, string(options), track)
	return err
}

// clipFile and pictureFile name files by their content, so that names tell nothing.
func clipFile(v View) string { return v.Hash + strings.ToLower(filepath.Ext(v.Clip)) }

func pictureFile(p Picture) string { return hashOf(p.JPEG) + ".jpg" }

// keepFiles copies clips and pictures into the archive and returns those that are new.
func (a *Archive) keepFiles(r *Recording) (added []string, err error) {
	keep := func(name string, write func(to string) error) error {
		if _, err := os.Stat(filepath.Join(a.dir, name)); err == nil {
			return nil
		}
		added = append(added, name)
		return write(filepath.Join(a.dir, name))
	}
	for _, v := range r.Views {
		if v.Clip == "" {
			continue
		}
		if err := keep(filepath.Join(clips, clipFile(v)), func(to string) error { return safefile.Copy(to, v.Clip) }); err != nil {
			return added, err
		}
	}
	for _, p := range r.Pictures {
		if err := keep(filepath.Join(pictures, pictureFile(p)), func(to string) error { return safefile.Write(to, p.JPEG) }); err != nil {
			return added, err
		}
	}
	return added, nil
}

// dropUnused removes files that no trial has.
func (a *Archive) dropUnused(ctx context.Context, names []string) {
	ctx = context.WithoutCancel(ctx) // an interrupted addition must still be cleared up
	for _, name := range names {
		if used, err := a.used(ctx, name); err == nil && !used {
			os.Remove(filepath.Join(a.dir, name))
		}
	}
}

func (a *Archive) used(ctx context.Context, name string) (bool, error) {
	var n int
	base := filepath.Base(name)
	err := a.db.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM view WHERE clip = ?) OR EXISTS (SELECT 1 FROM picture WHERE file = ?)", base, base).Scan(&n)
	return n == 1, a.plain(err)
}

func blindName() string {
	b := make([]byte, 5)
	_, _ = rand.Read(b) // never fails, says its documentation
	return strings.ToLower(base32.StdEncoding.EncodeToString(b))
}

// Has returns the trial that a file was kept for, by the hash of its content.
func (a *Archive) Has(ctx context.Context, hash string) (Trial, bool, error) {
	all, err := gather(ctx, a, scanTrial, trialColumns+" JOIN view v ON v.trial = t.id WHERE v.hash = ? LIMIT 1", hash)
	if err != nil || len(all) == 0 {
		return Trial{}, false, err
	}
	return all[0], true, nil
}

const trialColumns = `SELECT t.id, t.blind, a.code, s.id, s.date, s.title, t.task, t.limb, t.number, t.landing
	FROM trial t JOIN athlete a ON a.id = t.athlete JOIN session s ON s.id = t.session`

func scanTrial(rows *sql.Rows, t *Trial) error {
	return rows.Scan(&t.ID, &t.Blind, &t.Athlete, &t.Session.ID, &t.Session.Date, &t.Session.Title, &t.Task, &t.Limb, &t.Number, &t.Landing)
}

// Trials returns trials by date, athlete, task and number: all, or those of one athlete
// when code is given, and of one session when session is not 0.
func (a *Archive) Trials(ctx context.Context, code string, session int64) ([]Trial, error) {
	return gather(ctx, a, scanTrial, trialColumns+` WHERE (?1 = '' OR a.code = ?1) AND (?2 = 0 OR s.id = ?2)
		ORDER BY s.date, s.title, a.code COLLATE NOCASE, t.task, t.limb, t.number, t.landing`, code, session)
}

// Trial returns one trial by its number.
func (a *Archive) Trial(ctx context.Context, id int64) (Trial, error) {
	all, err := gather(ctx, a, scanTrial, trialColumns+" WHERE t.id = ?", id)
	if err != nil {
		return Trial{}, err
	}
	if len(all) == 0 {
		return Trial{}, fmt.Errorf("there is no trial %d in the archive; see steadfall session show", id)
	}
	return all[0], nil
}

// Views returns the views of a trial, with the paths of the clips that are kept.
func (a *Archive) Views(ctx context.Context, trial int64) ([]View, error) {
	return gather(ctx, a, func(rows *sql.Rows, v *View) error {
		var view, options string
		var width, height int
		var track []byte
		if err := rows.Scan(&view, &v.Hash, &v.Clip, &v.Points, &width, &height, &options, &track); err != nil {
			return err
		}
		if v.Clip != "" {
			v.Clip = filepath.Join(a.dir, clips, v.Clip)
		}
		if err := json.Unmarshal([]byte(options), &v.Options); err != nil {
			return err
		}
		var err error
		v.Track, err = unpackTrack(track, kinematics.View(view))
		v.Track.Width, v.Track.Height = width, height
		return err
	}, "SELECT view, hash, clip, points, width, height, options, track FROM view WHERE trial = ? ORDER BY view", trial)
}

// Pictures returns the stills of a trial.
func (a *Archive) Pictures(ctx context.Context, trial int64) ([]Picture, error) {
	return gather(ctx, a, func(rows *sql.Rows, p *Picture) error {
		var file string
		if err := rows.Scan(&p.View, &p.Moment, &p.Frame, &p.TimeS, &p.Caption, &file); err != nil {
			return err
		}
		var err error
		p.JPEG, err = os.ReadFile(filepath.Join(a.dir, pictures, file))
		return err
	}, "SELECT view, moment, frame, time_s, caption, file FROM picture WHERE trial = ? ORDER BY view, time_s", trial)
}

func packTrack(t kinematics.Track) ([]byte, error) {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if err := kinematics.WriteTrack(z, t); err != nil {
		return nil, err
	}
	err := z.Close()
	return b.Bytes(), err
}

func unpackTrack(data []byte, v kinematics.View) (kinematics.Track, error) {
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return kinematics.Track{}, err
	}
	return kinematics.ReadTrack(z, v)
}
