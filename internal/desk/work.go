package desk

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"steadfall/internal/archive"
	"steadfall/internal/intake"
	"steadfall/internal/trial"
	"steadfall/internal/worker"
	"steadfall/kinematics"
	"steadfall/scoring"
	"steadfall/video"
)

// score scores a take and keeps what it gave.
func (d *Desk) score(ctx context.Context, t archive.Take) error {
	if err := d.stateOf(ctx, t, archive.Checking); err != nil {
		return err
	}
	p, err := d.Archive.Athlete(ctx, t.Athlete)
	if err != nil {
		return err
	}
	if !p.Agreed() {
		return &worker.Refused{Why: "consent was withdrawn, so this was not measured"}
	}
	r := trial.Request{
		Task: t.Task, Limb: t.Limb, BoxCM: t.Options.BoxCM, CaptureFPS: t.Options.CaptureFPS,
		Points:    trial.Points{Mirrored: t.Options.Mirrored, Person: t.Options.Person},
		StatureCM: p.HeightCM, MassKG: p.MassKG, AgeYears: p.AgeYears(t.Session.Date), Tool: d.Tool,
		Tell: d.progress(ctx, t),
	}
	hashes := map[string]string{}
	for _, f := range t.Files {
		if !f.Whole {
			continue
		}
		path := d.Archive.IncomingFile(f)
		hash, err := archive.HashFile(ctx, path)
		if err != nil {
			return err
		}
		if was, there, err := d.Archive.Has(ctx, hash); err != nil || there {
			if err == nil {
				err = &worker.Refused{Why: "this clip is kept already, as " + was.Name()}
			}
			return err
		}
		hashes[path] = hash
		if f.View == "front" {
			r.Front.Clip = path
		} else {
			r.Side.Clip = path
		}
	}
	outcomes, err := d.Worker.Score(ctx, r)
	if err != nil {
		return plainly(err, t)
	}
	recordings, look, err := d.recordings(ctx, t, r, outcomes, hashes)
	if err != nil {
		return err
	}
	_, err = d.Archive.AddTake(ctx, t.ID, look, recordings...)
	return err
}

// recordings are what is kept of a take, and why somebody must look at it, if so.
func (d *Desk) recordings(ctx context.Context, t archive.Take, r trial.Request, outcomes []trial.Outcome, hashes map[string]string) ([]archive.Recording, string, error) {
	var out []archive.Recording
	look := ""
	for n, o := range outcomes {
		number, err := d.Archive.NextNumber(ctx, t, o.Result.Limb)
		if err != nil {
			return nil, "", err
		}
		nameClips(o.Result)
		rec, err := intake.Recording(archive.Trial{Athlete: t.Athlete, Session: t.Session, Task: t.Task, Limb: o.Result.Limb, Number: number, Landing: n + 1},
			r, o, true, func(file string) (string, error) { return hashes[file], nil })
		if err != nil {
			return nil, "", err
		}
		out = append(out, rec)
		if look == "" {
			look = needsLook(o.Result)
		}
	}
	return out, look, nil
}

// nameClips calls the clips by their views: an upload's file has no name of its own.
func nameClips(r scoring.Result) {
	for i := range r.Views {
		r.Views[i].Clip = "the clip from the front"
		if r.Views[i].View != kinematics.Front {
			r.Views[i].Clip = "the clip from the side"
		}
	}
}

// needsLook is why a person should look at the points before anybody relies on a result,
// or empty.
func needsLook(r scoring.Result) string {
	for _, v := range r.Views {
		for _, c := range v.Capture {
			if c.Verdict == "poor" {
				return c.Why
			}
		}
	}
	if len(r.Doubts) > 0 {
		return r.Doubts[0]
	}
	for _, w := range r.Warnings {
		if strings.Contains(w, "check the points") {
			return w
		}
	}
	return ""
}

// plainly puts why a clip is refused into the words of the desk.
func plainly(err error, t archive.Take) error {
	var no *worker.Refused
	if !errors.As(err, &no) {
		return err
	}
	why := no.Why
	for _, f := range t.Files {
		why = strings.ReplaceAll(why, strconv.Quote(f.File), "the clip from the "+f.View)
	}
	why = forTerminal.ReplaceAllString(why, "")
	why = strings.ReplaceAll(why, "with --person", "below: person")
	return &worker.Refused{Why: why}
}

// forTerminal are the parts of a sentence that only help on a command line.
var forTerminal = regexp.MustCompile(`; give it with --(front|side), or add --as-given[^;]*|, or add --as-given[^;]*|, or score the views one by one with --landing| or name a placements file`)

func (d *Desk) measureAgain(ctx context.Context, id int64) error {
	t, err := d.Archive.Trial(ctx, id)
	if err != nil {
		return err
	}
	p, err := d.Archive.Athlete(ctx, t.Athlete)
	if err != nil {
		return err
	}
	was, err := d.Archive.Newest(ctx, id)
	if err != nil {
		return err
	}
	views, err := d.Archive.Views(ctx, id)
	if err != nil {
		return err
	}
	placed, err := d.Archive.Placements(ctx, id)
	if err != nil {
		return err
	}
	tmp, err := os.MkdirTemp("", "steadfall-placed-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	r := trial.Request{Task: t.Task, Checklist: "", MassKG: p.MassKG, AgeYears: p.AgeYears(t.Session.Date), Tool: d.Tool, Points: trial.Points{AsGiven: true}}
	if was.Landing != nil {
		r.Landing = was.Landing.Number
	}
	hashes := map[string]string{}
	for _, v := range views {
		s, err := sourceOf(v, placed, was.Landing != nil, tmp)
		if err != nil {
			return err
		}
		hashes[s.Clip] = v.Hash
		o := v.Options
		r.Limb, r.StatureCM, r.BoxCM, r.CaptureFPS, r.SquareDeg, r.Points.Mirrored = o.Limb, o.StatureCM, o.BoxCM, o.CaptureFPS, o.SquareDeg, o.Mirrored
		if v.Track.View == kinematics.Front {
			r.Front = s
		} else {
			r.Side = s
		}
	}
	outcomes, err := d.Worker.Score(ctx, r)
	if err != nil {
		return err
	}
	nameClips(outcomes[0].Result)
	rec, err := intake.Recording(t, r, outcomes[0], true, func(file string) (string, error) { return hashes[file], nil })
	if err != nil {
		return err
	}
	return d.Archive.Replace(ctx, id, rec)
}

// sourceOf is a kept view with the points that people placed on it. A view without points
// of theirs, or without its clip, is taken as it was tracked; of several landings in one
// clip, the clip is followed anew.
func sourceOf(v archive.View, placed []archive.Placed, several bool, tmp string) (trial.Source, error) {
	pl := video.Placements{View: v.Track.View}
	for _, p := range placed {
		if p.View == pl.View {
			pl.Put(p.Frame, p.Landmark, kinematics.Point{X: p.X, Y: p.Y, SD: video.PlacedSDPx})
		}
	}
	s := trial.Source{Clip: v.Clip, Length: v.Options.Length, Plumb: v.Options.Plumb}
	switch {
	case v.Clip == "" || len(pl.Frames) == 0 && !several:
		s.Held = &trial.Held{Track: v.Track, Points: v.Points, Options: v.Options}
		return s, nil
	case len(pl.Frames) == 0:
		return s, nil
	}
	s.Placements = filepath.Join(tmp, string(v.Track.View)+".json")
	text, err := pl.JSON()
	if err != nil {
		return s, err
	}
	return s, os.WriteFile(s.Placements, text, 0o600)
}
