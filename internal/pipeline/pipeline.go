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
	"steadfall/report"
	"steadfall/scoring"
	"steadfall/video"
	"steadfall/video/clip"
)

// Source is what one view is measured from: a clip, with placements or without, or a track, with
// the clip for pictures where it is at hand.
type Source struct {
	Clip       string // its path
	Placements *Placements
	Track      *Track
	Length     *kinematics.KnownLength
	Plumb      *kinematics.Plumb // an upright line of its pictures
}

// Given reports whether the source names anything.
func (s Source) Given() bool { return s.Clip != "" || s.Track != nil }

// name is what messages call the source.
func (s Source) name() string {
	switch {
	case s.Clip != "":
		return s.Clip
	case s.Track.File != "":
		return s.Track.File
	}
	return "the kept track"
}

// Placements are points that a person placed on a clip.
type Placements struct {
	File string // they were read from; empty for none
	video.Placements
}

// Track is a view that was tracked before. One from a file is measured under the options of the
// request, one that was kept under its own.
type Track struct {
	File string // it was read from; empty for one that was kept
	View View   // not embedded, whose form in JSON would be the track's
}

// Request is one clip or pair of clips to be scored.
type Request struct {
	Front, Side Source
	Points      Points
	Landing     int // which landing of the clips, from 1; 0 for all
	Task        kinematics.Task
	Limb        kinematics.Side
	Checklist   string // bundled name or file; "" picks by the feet that landed
	StatureCM   float64
	MassKG      float64
	AgeYears    float64 // 0: not known
	BoxCM       float64 // height of the box; 0: not known
	CaptureFPS  float64
	Picture     [2]int                              // width and height of the pictures that track files were made from; 0: not known
	SquareDeg   float64                             // how squarely the front camera was set, one sd; 0: not known
	Tool        string                              // name and version, for the result
	Tell        func(stage string, done, total int) `json:"-"`
}

// ReadsClips reports whether the request has a clip to be read.
func (r Request) ReadsClips() bool { return r.Front.Clip != "" || r.Side.Clip != "" }

// Check finds what can be known to be wrong before any clip is read: a checklist that is not
// good, a file that is no clip.
func (r Request) Check() error {
	if r.Checklist != "" {
		if _, err := LoadChecklist(r.Checklist); err != nil {
			return err
		}
	}
	for _, s := range []Source{r.Front, r.Side} {
		if s.Clip == "" {
			continue
		}
		if _, err := clip.Sniff(s.Clip); err != nil {
			return err
		}
	}
	return nil
}

// Outcome is a scored landing.
type Outcome struct {
	Result    scoring.Result
	Checklist scoring.Checklist // that scored it
	Views     []View            // what each view was measured from
	Pictures  []report.Picture
	Reels     []Reel // looping clips that are still to be made
}

// Runner runs requests: Run in this process, or a worker in another one.
type Runner func(context.Context, Request) ([]Outcome, error)

// Run tracks the clips, measures and scores each landing in them, in order, and draws it.
func Run(ctx context.Context, r Request) ([]Outcome, error) {
	all, err := RunFenced(ctx, r)
	for i := range all {
		if err := all[i].Finish(); err != nil {
			return nil, err
		}
	}
	return all, err
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
	for i := range out {
		if err := r.draw(ctx, views, landings[i], &out[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// options are those of a view. What the user says of the rate wins over what the phone says.
func (r Request) options(s Source, p placed) kinematics.Options {
	if s.Track != nil && s.Track.File == "" {
		return s.Track.View.Options
	}
	rate := r.CaptureFPS
	if rate == 0 {
		rate = p.rate
	}
	return kinematics.Options{
		Task: r.Task, Limb: r.Limb, StatureCM: r.StatureCM, Length: s.Length, CaptureFPS: rate, Mirrored: r.Points.Mirrored,
		Plumb: s.Plumb, BoxCM: r.BoxCM, SquareDeg: r.SquareDeg, Seed: 1,
	}
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

func (r Request) progress(stage string) video.Progress {
	if r.Tell == nil {
		return nil
	}
	return func(done, total int) { r.Tell(stage, done, total) }
}
