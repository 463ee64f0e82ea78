package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// KeptFrom returns the trials that a file was kept for, by the hash of its content.
func (a *Archive) KeptFrom(ctx context.Context, hash string) ([]Trial, error) {
	return gather(ctx, a, scanTrial, trialColumns+" JOIN view v ON v.trial = t.id WHERE v.hash = ? ORDER BY t.id", hash)
}

// Move files trials anew, all or none: the trial of each recording's number gets its athlete,
// session, task, limb and number, the settings of its views, and its result on top of the
// earlier ones. Tracks, clips, pictures and what people said of it stay; a signature no
// longer holds.
func (a *Archive) Move(ctx context.Context, all ...Recording) error {
	packed := make([]measured, len(all))
	for i, r := range all {
		var err error
		if packed[i], err = newMeasured(r.Result); err != nil {
			return err
		}
	}
	return a.write(ctx, func(tx *sql.Tx) error {
		for i, r := range all {
			if err := a.move(ctx, tx, r, packed[i]); err != nil {
				return err
			}
		}
		return nil
	})
}

func (a *Archive) move(ctx context.Context, tx *sql.Tx, r Recording, m measured) error {
	t := r.Trial
	athlete, session, err := a.rowsOf(ctx, tx, t)
	if err != nil {
		return err
	}
	var moved int64
	err = tx.QueryRowContext(ctx, `UPDATE OR IGNORE trial SET session = ?, athlete = ?, task = ?, limb = ?, number = ? WHERE id = ? RETURNING id`,
		session, athlete, string(t.Task), string(t.Limb), t.Number, t.ID).Scan(&moved)
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%s: %w", t.Name(), ErrThere)
	}
	if err != nil {
		return err
	}
	for _, v := range r.Views {
		options, err := packOptions(v.Options)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "UPDATE view SET options = ? WHERE trial = ? AND view = ?", options, t.ID, string(v.Track.View)); err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, "DELETE FROM signed WHERE trial = ?", t.ID); err != nil {
		return err
	}
	return a.addResult(ctx, tx, t.ID, r.Result, r.Checklist, m)
}
