package archive

import (
	"context"
	"database/sql"
	"errors"

	"steadfall/scoring"
)

// Override records what a person says of a finding of a trial's newest score. The tool's
// own finding stays.
func (a *Archive) Override(ctx context.Context, trial int64, o scoring.Override) error {
	if o.Reason == "" || o.By == "" || o.Finding != scoring.Clear && o.Finding != scoring.Error {
		return errors.New("overruling needs error or clear, a reason, and who says so")
	}
	return a.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO override (trial, item, side, finding, reason, by_whom, made) VALUES (?, ?, ?, ?, ?, ?, ?)",
			trial, o.Item, string(o.Side), string(o.Finding), o.Reason, o.By, a.stamp())
		return err
	})
}

// Overrides returns what people said of the findings of a trial, oldest first.
func (a *Archive) Overrides(ctx context.Context, trial int64) ([]scoring.Override, error) {
	return gather(ctx, a, func(rows *sql.Rows, o *scoring.Override) error {
		return rows.Scan(&o.Item, &o.Side, &o.Finding, &o.Reason, &o.By, &o.Made)
	}, "SELECT item, side, finding, reason, by_whom, made FROM override WHERE trial = ? ORDER BY id", trial)
}

// Signed is who looked a trial over and stands by it.
type Signed struct {
	By   string `json:"by"`
	Made string `json:"made"`
}

// Sign records that somebody looked a trial over and stands by it; a later one counts.
func (a *Archive) Sign(ctx context.Context, trial int64, by string) error {
	_, err := a.db.ExecContext(ctx, "INSERT INTO signed VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET by_whom = excluded.by_whom, made = excluded.made", trial, by, a.stamp())
	return a.plain(err)
}

// SignedBy returns who stands by a trial, or nil.
func (a *Archive) SignedBy(ctx context.Context, trial int64) (*Signed, error) {
	s, err := first(gather(ctx, a, func(rows *sql.Rows, s *Signed) error { return rows.Scan(&s.By, &s.Made) }, "SELECT by_whom, made FROM signed WHERE trial = ?", trial))
	if errors.Is(err, ErrNoEntry) {
		return nil, nil
	}
	return &s, err
}
