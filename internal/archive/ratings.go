package archive

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"path/filepath"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Rating is what one person saw of one item in one trial.
type Rating struct {
	Blind     string          `json:"trial"` // the trial's blind name
	Rater     string          `json:"rater"`
	Checklist string          `json:"checklist"`
	Item      string          `json:"item"`
	Side      kinematics.Side `json:"side"`
	Error     *bool           `json:"error"` // nil: could not be seen
	Made      string          `json:"made"`
}

// Blind is a trial as a rater gets it: no name, no date, no score.
type Blind struct {
	Trial Trial
	Clips []BlindClip
}

// BlindClip is the kept clip of one view.
type BlindClip struct {
	View kinematics.View
	File string
}

// BlindTrials returns the trials of a session that were on that many feet, in an order
// that says nothing of the athlete but is the same for the same seed.
func (a *Archive) BlindTrials(ctx context.Context, session int64, feet int, seed uint64) ([]Blind, error) {
	trials, err := a.Trials(ctx, "", session)
	if err != nil {
		return nil, err
	}
	var out []Blind
	for _, t := range trials {
		if feetOf(t.Limb) != feet {
			continue
		}
		b := Blind{Trial: t}
		if b.Clips, err = gather(ctx, a, func(rows *sql.Rows, c *BlindClip) error {
			err := rows.Scan(&c.View, &c.File)
			c.File = filepath.Join(a.dir, clips, c.File)
			return err
		}, "SELECT view, clip FROM view WHERE trial = ? AND clip <> '' ORDER BY view", t.ID); err != nil {
			return nil, err
		}
		out = append(out, b)
	}
	rand.New(rand.NewPCG(seed, 1)).Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out, nil
}

// Rate keeps ratings, all or none. A rater's later answer to the same question takes the
// place of the earlier one.
func (a *Archive) Rate(ctx context.Context, all []Rating) error {
	return a.write(ctx, func(tx *sql.Tx) error {
		for _, r := range all {
			res, err := tx.ExecContext(ctx, `INSERT INTO rating (trial, rater, checklist, item, side, error, made)
				SELECT id, ?, ?, ?, ?, ?, ? FROM trial WHERE blind = ?
				ON CONFLICT DO UPDATE SET error = excluded.error, made = excluded.made`,
				r.Rater, r.Checklist, r.Item, string(r.Side), r.Error, a.stamp(), r.Blind)
			if err != nil {
				return err
			}
			if n, err := res.RowsAffected(); err == nil && n == 0 {
				return fmt.Errorf("there is no trial %q in this archive; is the sheet from another one?", r.Blind)
			}
		}
		return nil
	})
}

// Ratings returns every rating by a checklist, by trial, item, side and rater.
func (a *Archive) Ratings(ctx context.Context, checklist string) ([]Rating, error) {
	return a.ratings(ctx, "r.checklist = ?", checklist)
}

func (a *Archive) ratings(ctx context.Context, where string, arg any) ([]Rating, error) {
	return gather(ctx, a, func(rows *sql.Rows, r *Rating) error {
		return rows.Scan(&r.Blind, &r.Rater, &r.Checklist, &r.Item, &r.Side, &r.Error, &r.Made)
	}, `SELECT t.blind, r.rater, r.checklist, r.item, r.side, r.error, r.made
		FROM rating r JOIN trial t ON t.id = r.trial WHERE `+where+` ORDER BY t.blind, r.item, r.side, r.rater`, arg)
}

// Raters are who judged a trial, by name.
func (a *Archive) Raters(ctx context.Context, trial int64) ([]string, error) {
	return gather(ctx, a, func(rows *sql.Rows, name *string) error { return rows.Scan(name) }, "SELECT DISTINCT rater FROM rating WHERE trial = ? ORDER BY rater", trial)
}

// ToolRatings are the tool's own sure findings by a checklist, in the form of ratings, of
// the trials that people rated by it.
func (a *Archive) ToolRatings(ctx context.Context, checklist string) ([]Rating, error) {
	return gather(ctx, a, func(rows *sql.Rows, r *Rating) error {
		var finding scoring.Verdict
		if err := rows.Scan(&r.Blind, &r.Item, &r.Side, &finding); err != nil {
			return err
		}
		r.Rater, r.Checklist = "steadfall", checklist
		if bad := finding == scoring.Error; bad || finding == scoring.Clear {
			r.Error = &bad
		}
		return nil
	}, `SELECT t.blind, f.item, f.side, f.finding FROM trial t `+newestScore+` JOIN finding f ON f.score = sc.id
		WHERE EXISTS (SELECT 1 FROM rating WHERE trial = t.id AND checklist = ?1) ORDER BY t.blind, f.item, f.side`, checklist)
}
