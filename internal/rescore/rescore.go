// Package rescore scores what an archive keeps once more, by another checklist or from tracks that
// are measured anew, and says which findings changed. Earlier results stay.
package rescore

import (
	"context"
	"runtime"

	"golang.org/x/sync/errgroup"

	"steadfall/internal/archive"
	"steadfall/internal/intake"
	"steadfall/scoring"
)

// batch is how many scores are written at once; what is written stays when the work is
// interrupted.
const batch = 200

// Change is an item that went from one finding to another.
type Change struct {
	Item     string
	From, To scoring.Verdict
}

// Done says what was done.
type Done struct {
	Trials  int            // scored now
	Already int            // had been scored so before
	Changed map[Change]int // how often
}

// count adds what changed between two scores: the findings of items that both have and that are
// not the same.
func (d *Done) count(before, now scoring.Score) {
	for _, f := range now.Items {
		for _, was := range before.Items {
			if was.ID == f.ID && was.Side == f.Side && was.Finding != f.Finding {
				d.Changed[Change{f.ID, was.Finding, f.Finding}]++
			}
		}
	}
}

// All scores the newest measurement of every trial by the checklist that pick returns for the feet
// it was on (1 or 2). Measurements that have been scored by just that checklist are left alone.
func All(ctx context.Context, a *archive.Archive, pick func(feet int) (scoring.Checklist, error), tool string, tell func(done, total int)) (Done, error) {
	out := Done{Changed: map[Change]int{}}
	var lists []scoring.Checklist // for one foot, for two
	for feet := 1; feet <= 2; feet++ {
		c, err := pick(feet)
		if err != nil {
			return out, err
		}
		lists = append(lists, c)
	}
	ids, err := a.KeepChecklists(ctx, lists...)
	if err != nil {
		return out, err
	}
	todo, already, err := a.Unscored(ctx, ids[0], ids[1])
	if err != nil {
		return out, err
	}
	out.Already = already
	for from := 0; from < len(todo); from += batch {
		part := todo[from:min(from+batch, len(todo))]
		scores, before := scored(ctx, a, part, lists, ids)
		kept, err := a.AddScores(ctx, tool, scores)
		if err != nil {
			return out, err
		}
		for i := range part {
			if kept[i] {
				out.Trials++
				out.count(before[i], scores[i].Score)
			}
		}
		if tell != nil {
			tell(from+len(part), len(todo))
		}
	}
	return out, nil
}

// scored scores measurements on every core, and returns the findings that they had before.
func scored(ctx context.Context, a *archive.Archive, part []archive.Measurement, lists []scoring.Checklist, ids []int64) (scores []archive.NewScore, before []scoring.Score) {
	scores, before = make([]archive.NewScore, len(part)), make([]scoring.Score, len(part))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, m := range part {
		g.Go(func() error {
			n := m.Feet() - 1
			s := &scores[i]
			s.Measurement, s.Checklist = m.ID, ids[n]
			r, err := a.Measured(ctx, m)
			if err == nil {
				s.Score = scoring.Apply(lists[n], r.Landings())
				before[i], err = a.Findings(ctx, m.Score)
			}
			s.Failed = err
			return nil
		})
	}
	_ = g.Wait() // each score says by itself why it failed
	return scores, before
}

// MeasureAgain measures the tracks of every trial anew and scores them, by a checklist or, where
// it is empty, by the one for the feet.
func MeasureAgain(ctx context.Context, a *archive.Archive, checklist, tool string, tell func(done, total int)) (Done, error) {
	out := Done{Changed: map[Change]int{}}
	trials, err := a.Trials(ctx, "", 0)
	if err != nil {
		return out, err
	}
	for i, t := range trials {
		before, err := a.Newest(ctx, t.ID)
		if err != nil {
			return out, err
		}
		if err := intake.Again(ctx, a, t, checklist, tool); err != nil {
			return out, err
		}
		now, err := a.Newest(ctx, t.ID)
		if err != nil {
			return out, err
		}
		out.Trials++
		out.count(before.Score, now.Score)
		tell(i+1, len(trials))
	}
	return out, nil
}
