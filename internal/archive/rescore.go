package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"runtime"

	"golang.org/x/sync/errgroup"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// batch is how many scores are written at once; what is written stays when the work is
// interrupted.
const batch = 200

// FindingChange counts how often an item went from one finding to another.
type FindingChange struct {
	Item     string
	From, To scoring.Verdict
}

// Rescored says what a rescoring did.
type Rescored struct {
	Trials  int // scored now
	Already int // had been scored so before
	Changed map[FindingChange]int
}

// unscored is a measurement to be scored.
type unscored struct {
	id      int64
	before  int64 // its newest score; 0 for none
	limb    kinematics.Side
	task    kinematics.Task
	score   scoring.Score
	list    scoring.Checklist
	earlier scoring.Score // as far as its findings
	failed  error         // why it could not be scored
}

// Rescore scores the newest measurement of every trial by the checklist that pick returns
// for the feet it was on (1 or 2). Earlier scores stay. Measurements that have been scored
// by just that checklist are left alone.
func (a *Archive) Rescore(ctx context.Context, pick func(feet int) (scoring.Checklist, error), tool string, tell func(done, total int)) (Rescored, error) {
	out := Rescored{Changed: map[FindingChange]int{}}
	lists := map[int]scoring.Checklist{}
	ids := map[int]int64{}
	err := a.write(ctx, func(tx *sql.Tx) error {
		for feet := 1; feet <= 2; feet++ {
			c, err := pick(feet)
			if err != nil {
				return err
			}
			if ids[feet], err = ensureChecklist(ctx, tx, c); err != nil {
				return err
			}
			lists[feet] = c
		}
		return nil
	})
	if err != nil {
		return out, err
	}
	todo, already, err := a.unscored(ctx, ids)
	if err != nil {
		return out, err
	}
	out.Already = already
	for from := 0; from < len(todo); from += batch {
		part := todo[from:min(from+batch, len(todo))]
		g, gctx := errgroup.WithContext(ctx)
		g.SetLimit(runtime.GOMAXPROCS(0))
		for i := range part {
			part[i].list = lists[feetOf(part[i].limb)]
			g.Go(func() error {
				part[i].failed = a.scoreAgain(gctx, &part[i])
				return nil
			})
		}
		_ = g.Wait()
		var kept []unscored
		err := a.write(ctx, func(tx *sql.Tx) (err error) {
			kept, err = a.addScores(ctx, tx, part, ids, tool)
			return err
		})
		if err != nil {
			return out, err
		}
		out.count(kept)
		if tell != nil {
			tell(from+len(part), len(todo))
		}
	}
	return out, nil
}

// addScores adds new scores, but for those of measurements that somebody deleted meanwhile.
func (a *Archive) addScores(ctx context.Context, tx *sql.Tx, all []unscored, lists map[int]int64, tool string) (kept []unscored, err error) {
	for _, u := range all {
		var there bool
		if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM measurement WHERE id = ?)", u.id).Scan(&there); err != nil {
			return nil, err
		}
		switch {
		case !there:
			continue
		case u.failed != nil:
			return nil, u.failed
		}
		if err := a.addScore(ctx, tx, u.id, lists[feetOf(u.limb)], tool, u.score); err != nil {
			return nil, err
		}
		kept = append(kept, u)
	}
	return kept, nil
}

func feetOf(limb kinematics.Side) int {
	if limb == kinematics.Both {
		return 2
	}
	return 1
}

// unscored returns the newest measurements that the checklists have not scored yet.
func (a *Archive) unscored(ctx context.Context, lists map[int]int64) (todo []unscored, already int, err error) {
	type row struct {
		unscored
		done bool
	}
	rows, err := gather(ctx, a, func(rows *sql.Rows, u *row) error {
		return rows.Scan(&u.id, &u.limb, &u.task, &u.before, &u.done)
	}, `SELECT m.id, t.limb, t.task, coalesce((SELECT max(id) FROM score WHERE measurement = m.id), 0),
		EXISTS (SELECT 1 FROM score WHERE measurement = m.id AND checklist = iif(t.limb = 'both', ?2, ?1))
		FROM trial t JOIN measurement m ON m.id = (SELECT max(id) FROM measurement WHERE trial = t.id) ORDER BY m.id`, lists[1], lists[2])
	for _, r := range rows {
		if r.done {
			already++
			continue
		}
		todo = append(todo, r.unscored)
	}
	return todo, already, err
}

// scoreAgain scores one measurement from its kept measures and draws.
func (a *Archive) scoreAgain(ctx context.Context, u *unscored) error {
	var r scoring.Result
	var missing string
	var draws []byte
	err := a.db.QueryRowContext(ctx, "SELECT missing, draws FROM measurement WHERE id = ?", u.id).Scan(&missing, &draws)
	if err != nil {
		return a.plain(err)
	}
	if err := json.Unmarshal([]byte(missing), &r.Missing); err != nil {
		return err
	}
	if r.Measures, err = a.measures(ctx, u.id, draws); err != nil {
		return err
	}
	r.Task = u.task
	r.Views, err = gather(ctx, a, func(rows *sql.Rows, v *scoring.ViewResult) error { return rows.Scan(&v.View) },
		"SELECT v.view FROM view v JOIN measurement m ON m.trial = v.trial WHERE m.id = ? ORDER BY v.view", u.id)
	if err != nil {
		return err
	}
	u.score = scoring.Apply(u.list, r.Landings())
	u.earlier, err = a.findingsOf(ctx, u.before)
	return err
}

// findingsOf are the findings of a score.
func (a *Archive) findingsOf(ctx context.Context, score int64) (scoring.Score, error) {
	items, err := gather(ctx, a, func(rows *sql.Rows, f *scoring.Finding) error { return rows.Scan(&f.ID, &f.Side, &f.Finding) },
		"SELECT item, side, finding FROM finding WHERE score = ?", score)
	return scoring.Score{Items: items}, err
}

// Compare returns the findings of items that both scores have and that are not the same.
func Compare(before, now scoring.Score) []FindingChange {
	var out []FindingChange
	for _, f := range now.Items {
		for _, was := range before.Items {
			if was.ID == f.ID && was.Side == f.Side && was.Finding != f.Finding {
				out = append(out, FindingChange{f.ID, was.Finding, f.Finding})
			}
		}
	}
	return out
}

func (r *Rescored) count(part []unscored) {
	r.Trials += len(part)
	for _, u := range part {
		for _, c := range Compare(u.earlier, u.score) {
			r.Changed[c]++
		}
	}
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
