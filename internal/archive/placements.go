package archive

import (
	"context"
	"database/sql"
	"errors"
)

// Placements returns the points that people placed on a trial, by view and frame.
func (a *Archive) Placements(ctx context.Context, trial int64) ([]Placed, error) {
	return gather(ctx, a, func(rows *sql.Rows, p *Placed) error {
		return rows.Scan(&p.View, &p.Frame, &p.Landmark, &p.X, &p.Y, &p.By, &p.Made)
	}, "SELECT view, frame, landmark, x, y, by_whom, made FROM placement WHERE trial = ? ORDER BY view, frame, landmark", trial)
}

// Correct keeps points that somebody placed and removes others, and puts the trial down to be
// measured again, unless it waits already.
func (a *Archive) Correct(ctx context.Context, trial int64, set, gone []Placed, by string) error {
	return a.write(ctx, func(tx *sql.Tx) error {
		for _, p := range gone {
			if _, err := tx.ExecContext(ctx, "DELETE FROM placement WHERE trial = ? AND view = ? AND frame = ? AND landmark = ?", trial, string(p.View), p.Frame, string(p.Landmark)); err != nil {
				return err
			}
		}
		for _, p := range set {
			if _, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO placement VALUES (?, ?, ?, ?, ?, ?, ?, ?)", trial, string(p.View), p.Frame, string(p.Landmark), p.X, p.Y, by, a.stamp()); err != nil {
				return err
			}
		}
		var state string
		err := tx.QueryRowContext(ctx, "SELECT state FROM again WHERE trial = ?", trial).Scan(&state)
		if err != nil && !errors.Is(err, sql.ErrNoRows) || state == string(AgainWaiting) {
			return err
		}
		if _, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO again VALUES (?, ?, '')", trial, string(AgainWaiting)); err != nil {
			return err
		}
		return todoTrial(ctx, tx, trial)
	})
}

// AgainState is how far the new measuring of a trial has come.
type AgainState string

// The states of a new measuring; none when there is nothing to do.
const (
	AgainWaiting AgainState = "waiting"
	AgainPlacing AgainState = "placing"
	AgainFailed  AgainState = "failed"
)

// Again returns how far the new measuring of a trial has come, and why it failed.
func (a *Archive) Again(ctx context.Context, trial int64) (s AgainState, why string, err error) {
	err = a.db.QueryRowContext(ctx, "SELECT state, why FROM again WHERE trial = ?", trial).Scan(&s, &why)
	if errors.Is(err, sql.ErrNoRows) {
		return "", "", nil
	}
	return s, why, a.plain(err)
}

// SetAgain notes how far the new measuring has come. Points that were placed meanwhile keep
// the trial waiting.
func (a *Archive) SetAgain(ctx context.Context, trial int64, s AgainState, why string) error {
	_, err := a.db.ExecContext(ctx, "UPDATE again SET state = ?1, why = ?2 WHERE trial = ?3 AND (?1 = 'placing' OR state = 'placing')", string(s), why, trial)
	return a.plain(err)
}

// Replace keeps what a trial's new points gave: tracks and pictures take the place of the
// old ones, the result comes on top of them, and a signature no longer holds.
func (a *Archive) Replace(ctx context.Context, trial int64, r Recording) error {
	p, err := pack(r)
	if err != nil {
		return err
	}
	return a.change(ctx, filesOf([]Recording{r}), func(tx *sql.Tx) error { return a.replace(ctx, tx, trial, r, p) })
}

func (a *Archive) replace(ctx context.Context, tx *sql.Tx, trial int64, r Recording, p packed) error {
	for i, v := range r.Views {
		res, err := tx.ExecContext(ctx, "UPDATE view SET points = ?, width = ?, height = ?, track = ? WHERE trial = ? AND view = ?",
			v.Points, v.Track.Width, v.Track.Height, p.tracks[i], trial, string(v.Track.View))
		if err != nil {
			return err
		}
		if n, _ := res.RowsAffected(); n == 0 {
			return errors.New("the trial was deleted, or is seen from another side with these points; check left and right")
		}
	}
	if _, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO wipe SELECT ?1 || file FROM picture p WHERE trial = ?2
		AND NOT EXISTS (SELECT 1 FROM picture q WHERE q.file = p.file AND q.trial <> ?2)`, pictures+"/", trial); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "DELETE FROM picture WHERE trial = ?", trial); err != nil {
		return err
	}
	if err := addPictures(ctx, tx, trial, r.Pictures); err != nil {
		return err
	}
	for _, gone := range []string{"DELETE FROM signed WHERE trial = ?", "DELETE FROM again WHERE trial = ? AND state = 'placing'"} {
		if _, err := tx.ExecContext(ctx, gone, trial); err != nil {
			return err
		}
	}
	return a.addResult(ctx, tx, trial, r.Result, r.Checklist, p.measured)
}
