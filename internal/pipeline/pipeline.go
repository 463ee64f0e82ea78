// Package pipeline is the one way from clips to a report: the stages of the other packages in
// their order, with no measuring of its own. Every entrance uses it, the command line, a folder's
// import, the desk's uploads, and measuring a kept trial again:
//
//	clips, tracks and placements ─► tracks ─► landings ─► results ─► pictures
package pipeline

import (
	"context"
	"path/filepath"

	"steadfall/kinematics"
)

// Runner runs requests: Run in this process, or a worker in another one.
type Runner func(context.Context, Request) ([]Outcome, error)

// Run tracks the clips, measures and scores each landing in them, in order, and draws it.
func Run(ctx context.Context, r Request) ([]Outcome, error) {
	all, err := RunFenced(ctx, r)
	if err != nil {
		return nil, err
	}
	if err := Finish(ctx, all, r.Tell); err != nil {
		return nil, err
	}
	return all, nil
}

// RunFenced is Run for a process that may not write files: the outcomes are still to be
// finished.
func RunFenced(ctx context.Context, r Request) ([]Outcome, error) {
	views, err := r.tracked(ctx)
	if err != nil {
		return nil, err
	}
	which, err := r.chosen(views)
	if err != nil {
		return nil, err
	}
	var out []Outcome
	var landings [][]kinematics.Landing
	for _, n := range which {
		measured, err := r.measured(views, n)
		if err != nil {
			return nil, err
		}
		o, told, err := r.scored(views, n, measured)
		if err != nil {
			return nil, err
		}
		out, landings = append(out, o), append(landings, told)
	}
	if err := r.drawAll(ctx, views, landings, out); err != nil {
		return nil, err
	}
	return out, nil
}

// tracked is the track of each view, with its landings.
func (r Request) tracked(ctx context.Context) ([]seen, error) {
	var views []seen
	for _, s := range []struct {
		source Source
		front  bool
	}{{r.Front, true}, {r.Side, false}} {
		if !s.source.Given() {
			continue
		}
		p, err := r.track(ctx, s.source, s.front)
		if err != nil {
			return nil, err
		}
		v, err := r.find(s.source, p)
		if err != nil {
			return nil, err
		}
		views = append(views, v)
	}
	return views, nil
}

// track is the track that a source has, or is made from its clip.
func (r Request) track(ctx context.Context, s Source, front bool) (placed, error) {
	if s.Track != nil {
		t := s.Track.View.Track
		if s.Track.File != "" {
			t.Width, t.Height = r.Picture[0], r.Picture[1]
		}
		return placed{track: t, how: s.Track.View.Points}, nil
	}
	want := Sideways
	if front {
		want = kinematics.Front
	}
	return r.Points.place(ctx, s, want, r.Task, r.progress("placing the points in "+filepath.Base(s.Clip)))
}
