package archive

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"

	"steadfall/kinematics"
)

// incoming holds clips that were uploaded and are not scored yet.
const incoming = "incoming"

// TakeState is how far a take has come.
type TakeState string

// The states of a take, in their order.
const (
	Uploading TakeState = "uploading"
	Uploaded  TakeState = "uploaded"
	Checking  TakeState = "checking"
	Placing   TakeState = "placing"
	ScoredOK  TakeState = "scored"
	NeedsLook TakeState = "look"
	Refused   TakeState = "refused"
)

// Take is one landing as it was filmed, on its way to being a trial.
type Take struct {
	ID      int64           `json:"-"`
	Key     string          `json:"-"` // made by the phone
	Session Session         `json:"session"`
	Athlete string          `json:"athlete"` // code
	Task    kinematics.Task `json:"task"`
	Limb    kinematics.Side `json:"limb"`
	Wants   string          `json:"wants"` // front, side or both
	Options TakeOptions     `json:"settings"`
	State   TakeState       `json:"state"`
	Why     string          `json:"why,omitempty"`
	By      string          `json:"by"`
	Made    string          `json:"made"`
	Files   []TakeFile      `json:"files"`
	Trials  []int64         `json:"trials"`
}

// TakeOptions are what else was said when it was filmed.
type TakeOptions struct {
	BoxCM      float64 `json:"box_cm,omitempty"`
	CaptureFPS float64 `json:"capture_fps,omitempty"`
	Mirrored   bool    `json:"mirrored,omitempty"`
	Person     int     `json:"person,omitempty"` // from 1 at the left of the picture; 0: the one who lands
}

// TakeFile is one clip of a take.
type TakeFile struct {
	View  string `json:"view"` // front or side
	File  string `json:"-"`    // name in the folder of what comes in
	Whole bool   `json:"whole"`
}

// Incoming is the folder of what is uploaded.
func (a *Archive) Incoming() string { return filepath.Join(a.dir, incoming) }

// IncomingFile is the path of an uploaded clip.
func (a *Archive) IncomingFile(f TakeFile) string { return filepath.Join(a.dir, incoming, f.File) }

// ErrUploaded says that a landing has come before.
var ErrUploaded = errors.New("this landing was uploaded already")

// BeginUpload notes that a clip of a take begins to come. It belongs to the take of that
// key, or to one that waits for this view from a second phone, or to a new one. An
// unfinished upload of the same view gives way.
func (a *Archive) BeginUpload(ctx context.Context, t Take, f TakeFile) error {
	options, err := packTakeOptions(t.Options)
	if err != nil {
		return err
	}
	p, err := a.Athlete(ctx, t.Athlete)
	if err != nil {
		return err
	}
	return a.change(ctx, nil, func(tx *sql.Tx) error {
		var id int64
		err := tx.QueryRowContext(ctx, `SELECT id FROM take WHERE athlete = ?1 AND state = 'uploading'
			AND (key = ?2 OR wants = 'both' AND ?3 = 'both' AND session = ?4 AND task = ?5 AND limb = ?6)
			AND NOT EXISTS (SELECT 1 FROM take_file WHERE take = take.id AND view = ?7 AND (whole OR key <> ?2))
			ORDER BY key = ?2 DESC, id LIMIT 1`, p.ID, t.Key, t.Wants, t.Session.ID, string(t.Task), string(t.Limb), f.View).Scan(&id)
		if errors.Is(err, sql.ErrNoRows) {
			err = tx.QueryRowContext(ctx, `INSERT INTO take (key, session, athlete, task, limb, wants, options, state, by_whom, made)
				VALUES (?, ?, ?, ?, ?, ?, ?, 'uploading', ?, ?) ON CONFLICT DO NOTHING RETURNING id`,
				t.Key, t.Session.ID, p.ID, string(t.Task), string(t.Limb), t.Wants, options, t.By, a.stamp()).Scan(&id)
		}
		if errors.Is(err, sql.ErrNoRows) {
			return ErrUploaded
		}
		if err != nil {
			return err
		}
		if err := a.wipeFiles(ctx, tx, "take = ? AND view = ?", id, f.View); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "INSERT OR REPLACE INTO take_file (take, view, file) VALUES (?, ?, ?)", id, f.View, f.File)
		return err
	})
}

// EndUpload notes that all of a clip has come. When it was the last one that its take
// waits for, the take is to be worked on: both are noted or neither.
func (a *Archive) EndUpload(ctx context.Context, file string) (session int64, err error) {
	err = a.write(ctx, func(tx *sql.Tx) error {
		var take int64
		var state, wants string
		err := tx.QueryRowContext(ctx, "UPDATE take_file SET whole = 1 WHERE file = ? RETURNING take", file).Scan(&take)
		if errors.Is(err, sql.ErrNoRows) {
			return errors.New("the athlete of this clip was deleted, or it was sent again; nothing was kept")
		}
		if err != nil {
			return err
		}
		var have int
		if err := tx.QueryRowContext(ctx, "SELECT session, state, wants, (SELECT count(*) FROM take_file WHERE take = take.id AND whole) FROM take WHERE id = ?", take).Scan(&session, &state, &wants, &have); err != nil {
			return err
		}
		if state != string(Uploading) || have == 1 && wants == "both" {
			return nil
		}
		return startTake(ctx, tx, take)
	})
	return session, err
}

// Whole reports whether all of an uploaded clip has come and was kept; fs.ErrNotExist where
// there is no such upload.
func (a *Archive) Whole(ctx context.Context, file string) (whole bool, err error) {
	err = a.db.QueryRowContext(ctx, "SELECT whole FROM take_file WHERE file = ?", file).Scan(&whole)
	if errors.Is(err, sql.ErrNoRows) {
		return false, fs.ErrNotExist
	}
	return whole, a.plain(err)
}

// StartTake puts a take to work: again after it was refused, or without the view that did
// not come.
func (a *Archive) StartTake(ctx context.Context, take int64, o TakeOptions) error {
	options, err := packTakeOptions(o)
	if err != nil {
		return err
	}
	return a.write(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, `UPDATE take SET options = ? WHERE id = ? AND state IN (?, ?)
			AND EXISTS (SELECT 1 FROM take_file WHERE take = take.id AND whole)`, options, take, string(Uploading), string(Refused))
		if err != nil {
			return err
		}
		if n, _ := res.RowsAffected(); n == 0 {
			return errors.New("there is nothing to be done about this clip now")
		}
		return startTake(ctx, tx, take)
	})
}

func startTake(ctx context.Context, tx *sql.Tx, take int64) error {
	if _, err := tx.ExecContext(ctx, "UPDATE take SET state = ?, why = '' WHERE id = ?", string(Uploaded), take); err != nil {
		return err
	}
	return todoTake(ctx, tx, take)
}

// SetTake notes how far a take has come. One that is scored stays so.
func (a *Archive) SetTake(ctx context.Context, take int64, s TakeState, why string) error {
	_, err := a.db.ExecContext(ctx, "UPDATE take SET state = ?, why = ? WHERE id = ? AND state NOT IN (?, ?)", string(s), why, take, string(ScoredOK), string(NeedsLook))
	return a.plain(err)
}

// AddTake keeps what a take gave and marks it as scored, or as in need of a look where why
// is not empty, all or nothing. Its clips in the folder of what comes in go.
func (a *Archive) AddTake(ctx context.Context, take int64, why string, all ...Recording) ([]int64, error) {
	state := ScoredOK
	if why != "" {
		state = NeedsLook
	}
	return a.keep(ctx, all, func(tx *sql.Tx, ids []int64) error {
		for _, id := range ids {
			if _, err := tx.ExecContext(ctx, "INSERT INTO take_trial VALUES (?, ?)", id, take); err != nil {
				return err
			}
		}
		if _, err := tx.ExecContext(ctx, "UPDATE take SET state = ?, why = ? WHERE id = ?", string(state), why, take); err != nil {
			return err
		}
		return a.dropFiles(ctx, tx, take)
	})
}

// DropTake takes a take away that gave no trial, with its clips.
func (a *Archive) DropTake(ctx context.Context, take int64) error {
	return a.change(ctx, nil, func(tx *sql.Tx) error {
		if err := a.dropFiles(ctx, tx, take); err != nil {
			return err
		}
		res, err := tx.ExecContext(ctx, "DELETE FROM take WHERE id = ? AND state IN (?, ?)", take, string(Uploading), string(Refused))
		if err != nil {
			return err
		}
		if n, _ := res.RowsAffected(); n == 0 {
			return errors.New("only a clip that gave no result can be taken away here; delete the trial instead")
		}
		return nil
	})
}

// dropFiles lets the clips of a take be wiped.
func (a *Archive) dropFiles(ctx context.Context, tx *sql.Tx, take int64) error {
	if err := a.wipeFiles(ctx, tx, "take = ?", take); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, "DELETE FROM take_file WHERE take = ?", take)
	return err
}

// wipeFiles puts clips down to be wiped, each with what its upload knew of itself.
func (a *Archive) wipeFiles(ctx context.Context, tx *sql.Tx, which string, args ...any) error {
	for _, end := range []string{"", ".info"} {
		q := fmt.Sprintf("INSERT OR IGNORE INTO wipe SELECT '%s/' || file || '%s' FROM take_file WHERE %s", incoming, end, which)
		if _, err := tx.ExecContext(ctx, q, args...); err != nil {
			return err
		}
	}
	return nil
}

const takeColumns = `SELECT k.id, k.key, s.id, s.date, s.title, a.code, k.task, k.limb, k.wants, k.options, k.state, k.why, k.by_whom, k.made,
	(SELECT json_group_array(json_object('view', view, 'file', file, 'whole', whole)) FROM take_file WHERE take = k.id),
	(SELECT json_group_array(trial) FROM take_trial WHERE take = k.id)
	FROM take k JOIN athlete a ON a.id = k.athlete JOIN session s ON s.id = k.session`

func scanTake(rows *sql.Rows, t *Take) error {
	var options, files, trials string
	if err := rows.Scan(&t.ID, &t.Key, &t.Session.ID, &t.Session.Date, &t.Session.Title, &t.Athlete, &t.Task, &t.Limb, &t.Wants, &options, &t.State, &t.Why, &t.By, &t.Made, &files, &trials); err != nil {
		return err
	}
	var named []struct {
		View, File string
		Whole      int
	}
	var err error
	if t.Options, err = unpackTakeOptions(options); err != nil {
		return err
	}
	if err := json.Unmarshal([]byte(files), &named); err != nil {
		return err
	}
	if err := json.Unmarshal([]byte(trials), &t.Trials); err != nil {
		return err
	}
	for _, f := range named {
		t.Files = append(t.Files, TakeFile{f.View, f.File, f.Whole != 0})
	}
	slices.SortFunc(t.Files, func(a, b TakeFile) int { return cmp.Compare(a.View, b.View) })
	slices.Sort(t.Trials)
	return nil
}

// Takes returns the takes of a session, the newest first.
func (a *Archive) Takes(ctx context.Context, session int64) ([]Take, error) {
	return gather(ctx, a, scanTake, takeColumns+" WHERE k.session = ? ORDER BY k.id DESC", session)
}

// takesOf returns the takes of an athlete.
func (a *Archive) takesOf(ctx context.Context, athlete int64) ([]Take, error) {
	return gather(ctx, a, scanTake, takeColumns+" WHERE k.athlete = ? ORDER BY k.id", athlete)
}

// Take returns one take.
func (a *Archive) Take(ctx context.Context, id int64) (Take, error) {
	t, err := first(gather(ctx, a, scanTake, takeColumns+" WHERE k.id = ?", id))
	if errors.Is(err, ErrNoEntry) {
		return t, fmt.Errorf("there is no clip %d on its way: %w", id, err)
	}
	return t, err
}

// NextNumber is the number of an athlete's next trial of a task and limb in a session.
func (a *Archive) NextNumber(ctx context.Context, t Take, limb kinematics.Side) (int, error) {
	var n int
	err := a.db.QueryRowContext(ctx, `SELECT ifnull(max(number), 0) + 1 FROM trial WHERE session = ? AND task = ? AND limb = ?
		AND athlete = (SELECT id FROM athlete WHERE code = ?)`, t.Session.ID, string(t.Task), string(limb), t.Athlete).Scan(&n)
	return n, a.plain(err)
}

// StaleUploads returns the takes whose clips began to come before a time and never did,
// none of them whole.
func (a *Archive) StaleUploads(ctx context.Context, before string) ([]int64, error) {
	return gather(ctx, a, func(rows *sql.Rows, id *int64) error { return rows.Scan(id) },
		"SELECT id FROM take WHERE state = ? AND made < ? AND NOT EXISTS (SELECT 1 FROM take_file WHERE take = take.id AND whole)", string(Uploading), before)
}
