package intake

import (
	"context"
	"fmt"

	"steadfall/internal/archive"
	"steadfall/internal/pipeline"
	"steadfall/kinematics"
	"steadfall/video"
)

// Again measures a kept trial anew from its tracks, under this version of the tool.
func Again(ctx context.Context, a *archive.Archive, t archive.Trial, checklist, tool string) error {
	views, err := a.Views(ctx, t.ID)
	if err != nil {
		return err
	}
	p, err := a.Athlete(ctx, t.Athlete)
	if err != nil {
		return err
	}
	o, err := again(ctx, t, p, views, checklist, tool)
	if err != nil {
		return err
	}
	return a.AddResult(ctx, t.ID, o.Result, o.Checklist)
}

func again(ctx context.Context, t archive.Trial, p archive.Athlete, views []archive.View, checklist, tool string) (pipeline.Outcome, error) {
	r := About(pipeline.Request{Task: t.Task, Limb: t.Limb, Checklist: checklist, Tool: tool, Landing: 1}, p, t.Session.Date)
	for _, v := range views {
		r.StatureCM = v.Options.StatureCM
		*sideOf(&r, v) = pipeline.Source{Track: tracked(v)}
	}
	all, err := pipeline.Run(ctx, r)
	if err != nil {
		return pipeline.Outcome{}, fmt.Errorf("%s: %w", t.Name(), err)
	}
	return all[0], nil
}

// Correct measures a kept trial anew with the points that people placed on it, and keeps what that
// gives in the place of what was there.
func Correct(ctx context.Context, a *archive.Archive, run pipeline.Runner, id int64, tool string) error {
	t, err := a.Trial(ctx, id)
	if err != nil {
		return err
	}
	r, files, err := correction(ctx, a, t)
	if err != nil {
		return err
	}
	r.Tool = tool
	outcomes, err := run(ctx, r)
	if err != nil {
		return err
	}
	NameClips(outcomes[0].Result)
	return a.Replace(ctx, id, Recording(t, outcomes[0], files))
}

// correction is the request that measures a trial with its placed points, and the files of its
// views.
func correction(ctx context.Context, a *archive.Archive, t archive.Trial) (r pipeline.Request, files []File, err error) {
	p, err := a.Athlete(ctx, t.Athlete)
	if err != nil {
		return r, nil, err
	}
	was, err := a.Newest(ctx, t.ID)
	if err != nil {
		return r, nil, err
	}
	views, err := a.Views(ctx, t.ID)
	if err != nil {
		return r, nil, err
	}
	points, err := a.Placements(ctx, t.ID)
	if err != nil {
		return r, nil, err
	}
	r = About(pipeline.Request{Task: t.Task, Points: pipeline.Points{AsGiven: true}}, p, t.Session.Date)
	if was.Landing != nil {
		r.Landing = was.Landing.Number
	}
	for _, v := range views {
		o := v.Options
		r.Limb, r.StatureCM, r.BoxCM, r.CaptureFPS, r.SquareDeg, r.Points.Mirrored = o.Limb, o.StatureCM, o.BoxCM, o.CaptureFPS, o.SquareDeg, o.Mirrored
		*sideOf(&r, v) = sourceOf(v, points, was.Landing != nil)
		files = append(files, File{Hash: v.Hash, Clip: v.Clip})
	}
	return r, files, nil
}

// sourceOf is a kept view with the points that people placed on it. A view without points
// of theirs, or without its clip, is taken as it was tracked; of several landings in one
// clip, the clip is followed anew.
func sourceOf(v archive.View, points []archive.Placed, several bool) pipeline.Source {
	pl := video.Placements{View: v.Track.View}
	for _, p := range points {
		if p.View == pl.View {
			pl.Put(p.Frame, p.Landmark, kinematics.Point{X: p.X, Y: p.Y, SD: video.PlacedSDPx, Source: kinematics.Placed})
		}
	}
	s := pipeline.Source{Clip: v.Clip, Length: v.Options.Length, Plumb: v.Options.Plumb}
	switch {
	case v.Clip == "" || len(pl.Frames) == 0 && !several:
		s.Track = tracked(v)
	case len(pl.Frames) > 0:
		s.Placements = &pipeline.Placements{Placements: pl}
	}
	return s
}

// tracked is a kept view as it was tracked.
func tracked(v archive.View) *pipeline.Track {
	return &pipeline.Track{View: pipeline.View{Track: v.Track, Points: v.Points, Options: v.Options}}
}

// sideOf is where a view goes in a request.
func sideOf(r *pipeline.Request, v archive.View) *pipeline.Source {
	if v.Track.View == kinematics.Front {
		return &r.Front
	}
	return &r.Side
}
