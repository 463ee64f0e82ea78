package archive

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/base32"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

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
func (t Trial) Name() string { return t.Session.Date + ", " + t.ShortName() }

// ShortName is the same within one session.
func (t Trial) ShortName() string {
	s := fmt.Sprintf("%s, %s", t.Athlete, t.Task)
	if t.Limb != kinematics.Both {
		s += " on the " + string(t.Limb) + " leg"
	}
	s += fmt.Sprintf(", trial %d", t.Number)
	if t.Landing > 1 {
		s += fmt.Sprintf(", landing %d", t.Landing)
	}
	return s
}

// Within says the same without the athlete, for their own page: the task, the leg, the number.
func (t Trial) Within() scoring.Sentence {
	words := scoring.Sentence{Words: strings.ReplaceAll(string(t.Task), "-", " ")}
	if t.Limb != kinematics.Both {
		words = scoring.Sentence{Words: "%s on the " + string(t.Limb) + " leg", Args: []any{words}}
	}
	words = scoring.Sentence{Words: "%s, trial %d", Args: []any{words, t.Number}}
	if t.Landing > 1 {
		words = scoring.Sentence{Words: "%s, landing %d", Args: []any{words, t.Landing}}
	}
	return words
}

// View is one view of a trial as it is kept: enough to measure it again without the clip.
type View struct {
	Hash    string // of the file that came in, SHA-256 in hexadecimal
	Clip    string // to keep a copy of; empty for none. When read: the kept copy
	Points  string // how they were placed
	Track   kinematics.Track
	Options kinematics.Options
}

// Picture is one still of a trial, or a short clip.
type Picture struct {
	View    kinematics.View
	Moment  string
	Frame   int
	TimeS   float64
	Data    []byte // a JPEG picture or an MP4 clip
	Caption string
}

// Recording is a scored trial with everything that is kept of it.
type Recording struct {
	Trial     Trial
	Views     []View
	Result    scoring.Result // with the draws of its measures
	Checklist scoring.Checklist
	Pictures  []Picture
	Placed    []Placed // points that a person placed for it
}

// Placed is a point that a person placed, in pixels of the clip as it is.
type Placed struct {
	View     kinematics.View     `json:"view"`
	Frame    int                 `json:"frame"`
	Landmark kinematics.Landmark `json:"landmark"`
	X        float64             `json:"x"`
	Y        float64             `json:"y"`
	By       string              `json:"by"`
	Made     string              `json:"made"`
}

// ErrThere says that the archive has a trial of that name already.
var ErrThere = errors.New("is in the archive already, from another file; give it another number")

// Add keeps trials, all or none, and makes their session where it has no number and there is
// none of its date and title. When it returns nil they are on the disk; when it fails,
// or the machine does, nothing of them is in the archive.
func (a *Archive) Add(ctx context.Context, all ...Recording) (ids []int64, err error) {
	return a.keep(ctx, all, func(*sql.Tx, []int64) error { return nil })
}

// keep is Add with something more to be done in the same transaction.
func (a *Archive) keep(ctx context.Context, all []Recording, more func(tx *sql.Tx, ids []int64) error) (ids []int64, err error) {
	packed := make([]packed, len(all))
	for i, r := range all {
		if packed[i], err = pack(r); err != nil {
			return nil, err
		}
	}
	err = a.change(ctx, filesOf(all), func(tx *sql.Tx) error {
		ids = nil
		for i, r := range all {
			id, err := a.add(ctx, tx, r, packed[i])
			if err != nil {
				return err
			}
			ids = append(ids, id)
		}
		return more(tx, ids)
	})
	return ids, err
}

// packed is what takes time to make and needs no transaction.
type packed struct {
	tracks   [][]byte
	measured measured
}

func pack(r Recording) (p packed, err error) {
	for _, v := range r.Views {
		track, err := packTrack(v.Track)
		if err != nil {
			return p, err
		}
		p.tracks = append(p.tracks, track)
	}
	p.measured, err = newMeasured(r.Result)
	return p, err
}

func (a *Archive) add(ctx context.Context, tx *sql.Tx, r Recording, p packed) (id int64, err error) {
	t := r.Trial
	athlete, session, err := a.rowsOf(ctx, tx, t)
	if err != nil {
		return 0, err
	}
	err = tx.QueryRowContext(ctx, `INSERT INTO trial (blind, session, athlete, task, limb, number, landing, made)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING RETURNING id`,
		blindName(), session, athlete, string(t.Task), string(t.Limb), t.Number, max(t.Landing, 1), a.stamp()).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, fmt.Errorf("%s: %w", t.Name(), ErrThere)
	}
	if err != nil {
		return 0, err
	}
	for i, v := range r.Views {
		if err := addView(ctx, tx, id, v, p.tracks[i]); err != nil {
			return 0, err
		}
	}
	for _, p := range r.Placed {
		if _, err := tx.ExecContext(ctx, "INSERT INTO placement VALUES (?, ?, ?, ?, ?, ?, ?, ?)", id, string(p.View), p.Frame, string(p.Landmark), p.X, p.Y, p.By, a.stamp()); err != nil {
			return 0, err
		}
	}
	if err := addPictures(ctx, tx, id, r.Pictures); err != nil {
		return 0, err
	}
	return id, a.addResult(ctx, tx, id, r.Result, r.Checklist, p.measured)
}

func addView(ctx context.Context, tx *sql.Tx, trial int64, v View, track []byte) error {
	options, err := packOptions(v.Options)
	if err != nil {
		return err
	}
	clip := ""
	if v.Clip != "" {
		clip = clipFile(v)
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO view VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		trial, string(v.Track.View), v.Hash, clip, v.Points, v.Track.Width, v.Track.Height, options, track)
	return err
}

func addPictures(ctx context.Context, tx *sql.Tx, trial int64, all []Picture) error {
	for _, p := range all {
		if _, err := tx.ExecContext(ctx, "INSERT INTO picture VALUES (?, ?, ?, ?, ?, ?, ?)", trial, string(p.View), p.Moment, p.Frame, p.TimeS, p.Caption, pictureFile(p)); err != nil {
			return err
		}
	}
	return nil
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
		var err error
		if v.Options, err = unpackOptions(options); err != nil {
			return err
		}
		v.Track, err = unpackTrack(track, kinematics.View(view))
		v.Track.Width, v.Track.Height = width, height
		return err
	}, "SELECT view, hash, clip, points, width, height, options, track FROM view WHERE trial = ? ORDER BY view", trial)
}

// Pictures returns the stills of a trial. Where new points replace them just then, the new
// ones are returned.
func (a *Archive) Pictures(ctx context.Context, trial int64) ([]Picture, error) {
	for again := 0; ; again++ {
		all, err := a.readPictures(ctx, trial)
		if !errors.Is(err, fs.ErrNotExist) || again == 3 {
			return all, err
		}
	}
}

func (a *Archive) readPictures(ctx context.Context, trial int64) ([]Picture, error) {
	return gather(ctx, a, func(rows *sql.Rows, p *Picture) error {
		var file string
		if err := rows.Scan(&p.View, &p.Moment, &p.Frame, &p.TimeS, &p.Caption, &file); err != nil {
			return err
		}
		var err error
		p.Data, err = os.ReadFile(filepath.Join(a.dir, pictures, file))
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

// ClipOf returns the path of the kept clip of a trial's view, or "" where none is kept.
func (a *Archive) ClipOf(ctx context.Context, trial int64, v kinematics.View) (string, error) {
	clip, err := first(gather(ctx, a, func(rows *sql.Rows, s *string) error { return rows.Scan(s) }, "SELECT clip FROM view WHERE trial = ? AND view = ?", trial, string(v)))
	if err != nil || clip == "" {
		return "", err
	}
	return filepath.Join(a.dir, clips, clip), nil
}

// rowsOf are the rows of a trial's athlete and session. A session that has no number yet is
// made where there is none of its date and title.
func (a *Archive) rowsOf(ctx context.Context, tx *sql.Tx, t Trial) (athlete, session int64, err error) {
	err = tx.QueryRowContext(ctx, "SELECT id FROM athlete WHERE code = ?", t.Athlete).Scan(&athlete)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, 0, fmt.Errorf("there is no athlete %q in the archive any more", t.Athlete)
	}
	if err != nil || t.Session.ID != 0 {
		return athlete, t.Session.ID, err
	}
	session, err = ensureSession(ctx, tx, t.Session)
	return athlete, session, err
}
