package archive

import (
	"context"
	"database/sql"
	"encoding/json"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Measurement is a trial's newest measuring.
type Measurement struct {
	ID    int64
	Limb  kinematics.Side // of the trial
	Task  kinematics.Task
	Score int64 // its newest score; 0 for none
}

// Feet is how many feet it was on.
func (m Measurement) Feet() int { return feetOf(m.Limb) }

func feetOf(limb kinematics.Side) int {
	if limb == kinematics.Both {
		return 2
	}
	return 1
}

// KeepChecklists keeps checklists word for word, all or none, and returns their numbers.
func (a *Archive) KeepChecklists(ctx context.Context, all ...scoring.Checklist) (ids []int64, err error) {
	err = a.write(ctx, func(tx *sql.Tx) error {
		ids = nil
		for _, c := range all {
			id, err := ensureChecklist(ctx, tx, c)
			if err != nil {
				return err
			}
			ids = append(ids, id)
		}
		return nil
	})
	return ids, err
}

// Unscored returns the newest measurements that have not been scored by the checklist for their
// feet, one or two, and how many have been.
func (a *Archive) Unscored(ctx context.Context, oneFoot, twoFeet int64) (todo []Measurement, already int, err error) {
	type row struct {
		Measurement
		done bool
	}
	rows, err := gather(ctx, a, func(rows *sql.Rows, m *row) error {
		return rows.Scan(&m.ID, &m.Limb, &m.Task, &m.Score, &m.done)
	}, `SELECT m.id, t.limb, t.task, coalesce((SELECT max(id) FROM score WHERE measurement = m.id), 0),
		EXISTS (SELECT 1 FROM score WHERE measurement = m.id AND checklist = iif(t.limb = 'both', ?2, ?1))
		FROM trial t JOIN measurement m ON m.id = (SELECT max(id) FROM measurement WHERE trial = t.id) ORDER BY m.id`, oneFoot, twoFeet)
	for _, r := range rows {
		if r.done {
			already++
			continue
		}
		todo = append(todo, r.Measurement)
	}
	return todo, already, err
}

// Measured is as much of a measurement's result as scoring asks for: its measures with their
// draws, what is missing, and its views.
func (a *Archive) Measured(ctx context.Context, m Measurement) (r scoring.Result, err error) {
	var missing string
	var draws []byte
	if err := a.db.QueryRowContext(ctx, "SELECT missing, draws FROM measurement WHERE id = ?", m.ID).Scan(&missing, &draws); err != nil {
		return r, a.plain(err)
	}
	if err := json.Unmarshal([]byte(missing), &r.Missing); err != nil {
		return r, err
	}
	if r.Measures, err = a.measures(ctx, m.ID, draws); err != nil {
		return r, err
	}
	r.Task = m.Task
	r.Views, err = gather(ctx, a, func(rows *sql.Rows, v *scoring.ViewResult) error { return rows.Scan(&v.View) },
		"SELECT v.view FROM view v JOIN measurement m ON m.trial = v.trial WHERE m.id = ? ORDER BY v.view", m.ID)
	return r, err
}

// Findings are the findings of a score, by its number, without words.
func (a *Archive) Findings(ctx context.Context, score int64) (scoring.Score, error) {
	items, err := gather(ctx, a, func(rows *sql.Rows, f *scoring.Finding) error { return rows.Scan(&f.ID, &f.Side, &f.Finding) },
		"SELECT item, side, finding FROM finding WHERE score = ?", score)
	return scoring.Score{Items: items}, err
}

// NewScore is a measurement scored anew, or why it could not be.
type NewScore struct {
	Measurement int64
	Checklist   int64
	Score       scoring.Score
	Failed      error
}

// AddScores adds scores, all or none, and says which: those of measurements that somebody deleted
// meanwhile are left out, whether they failed or not.
func (a *Archive) AddScores(ctx context.Context, tool string, all []NewScore) (kept []bool, err error) {
	err = a.write(ctx, func(tx *sql.Tx) error {
		kept = make([]bool, len(all))
		for i, s := range all {
			if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM measurement WHERE id = ?)", s.Measurement).Scan(&kept[i]); err != nil {
				return err
			}
			switch {
			case !kept[i]:
				continue
			case s.Failed != nil:
				return s.Failed
			}
			if err := a.addScore(ctx, tx, s.Measurement, s.Checklist, tool, s.Score); err != nil {
				return err
			}
		}
		return nil
	})
	return kept, err
}

// AddResult keeps a new measuring of a trial beside the earlier ones, with its score.
func (a *Archive) AddResult(ctx context.Context, trial int64, r scoring.Result, list scoring.Checklist) error {
	m, err := newMeasured(r)
	if err != nil {
		return err
	}
	return a.write(ctx, func(tx *sql.Tx) error { return a.addResult(ctx, tx, trial, r, list, m) })
}

func (a *Archive) addResult(ctx context.Context, tx *sql.Tx, trial int64, r scoring.Result, list scoring.Checklist, m measured) error {
	id, err := a.addMeasured(ctx, tx, trial, r.Tool, m)
	if err != nil {
		return err
	}
	c, err := ensureChecklist(ctx, tx, list)
	if err != nil {
		return err
	}
	return a.addScore(ctx, tx, id, c, r.Tool, r.Score)
}
