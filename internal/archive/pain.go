package archive

import (
	"context"
	"database/sql"
	"fmt"

	"steadfall/scoring"
)

// PainOver is a note that the pain an athlete told of, at sessions up to a day, is over.
type PainOver struct {
	Date string `json:"date"` // YYYY-MM-DD
	By   string `json:"by"`
	Made string `json:"made"`
}

// NotePainOver notes that the pain an athlete told of is over. The name of who says so is asked
// for.
func (a *Archive) NotePainOver(ctx context.Context, code string, o PainOver) error {
	if o.By == "" {
		return fmt.Errorf("that pain is over needs the name of who says so")
	}
	if err := CheckDate(o.Date); err != nil {
		return err
	}
	p, err := a.Athlete(ctx, code)
	if err != nil {
		return err
	}
	return a.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO pain_over (athlete, date, by_whom, made) VALUES (?, ?, ?, ?)", p.ID, o.Date, o.By, a.stamp())
		return err
	})
}

// painsOver are the notes on an athlete, oldest first.
func (a *Archive) painsOver(ctx context.Context, athlete int64) ([]PainOver, error) {
	return gather(ctx, a, func(rows *sql.Rows, o *PainOver) error { return rows.Scan(&o.Date, &o.By, &o.Made) },
		"SELECT date, by_whom, made FROM pain_over WHERE athlete = ? ORDER BY id", athlete)
}

// OpenPain is, by athlete, the newest pain above a limit, of whatever session, that nobody has
// noted to be over.
func (a *Archive) OpenPain(ctx context.Context, above int) (map[int64]*scoring.PainTold, error) {
	type row struct {
		athlete int64
		scoring.PainTold
	}
	rows, err := gather(ctx, a, func(rows *sql.Rows, r *row) error { return rows.Scan(&r.athlete, &r.Date, &r.Pain) },
		`SELECT t.athlete, s.date, t.pain FROM attendance t JOIN session s ON s.id = t.session
		WHERE t.pain > ? AND s.date > coalesce((SELECT max(date) FROM pain_over WHERE athlete = t.athlete), '') ORDER BY s.date, t.pain`, above)
	out := map[int64]*scoring.PainTold{}
	for _, r := range rows {
		told := r.PainTold
		out[r.athlete] = &told
	}
	return out, err
}
