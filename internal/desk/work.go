package desk

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"steadfall/internal/archive"
	"steadfall/internal/intake"
	"steadfall/internal/notes"
	"steadfall/internal/pipeline"
	"steadfall/internal/worker"
	"steadfall/kinematics"
	"steadfall/scoring"
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
	r := intake.About(pipeline.Request{
		Task: t.Task, Limb: t.Limb, BoxCM: t.Options.BoxCM, CaptureFPS: t.Options.CaptureFPS,
		Points: pipeline.Points{Mirrored: t.Options.Mirrored, Person: t.Options.Person},
		Tool:   d.Tool, Tell: d.progress(ctx, t),
	}, p, t.Session.Date)
	var files []intake.File // the front first, as takes have them
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
		files = append(files, intake.File{Hash: hash, Clip: path})
		if f.View == "front" {
			r.Front.Clip = path
		} else {
			r.Side.Clip = path
		}
	}
	outcomes, err := d.Worker.Score(ctx, r)
	if err != nil {
		return plainly(err, t.Files)
	}
	recordings, look, err := d.recordings(ctx, t, outcomes, files)
	if err != nil {
		return err
	}
	_, err = d.Archive.AddTake(ctx, t.ID, look, recordings...)
	return err
}

// recordings are what is kept of a take, and why somebody must look at it, if so.
func (d *Desk) recordings(ctx context.Context, t archive.Take, outcomes []pipeline.Outcome, files []intake.File) ([]archive.Recording, string, error) {
	var out []archive.Recording
	look := ""
	for n, o := range outcomes {
		number, err := d.Archive.NextNumber(ctx, t, o.Result.Limb)
		if err != nil {
			return nil, "", err
		}
		intake.NameClips(o.Result)
		out = append(out, intake.Recording(archive.Trial{Athlete: t.Athlete, Session: t.Session, Task: t.Task, Limb: o.Result.Limb, Number: number, Landing: n + 1}, o, files))
		if look == "" {
			look = needsLook(o.Result)
		}
	}
	return out, look, nil
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
	for _, n := range r.InDoubt() {
		return notes.English(n, notes.Desk)
	}
	for _, n := range r.Caveats() {
		if n.Hint == kinematics.HintCheckPoints || n.Hint == notes.LookAtPoints {
			return notes.English(n, notes.Desk)
		}
	}
	return ""
}

// plainly puts why a clip is refused into the words of the desk, where the files have no names.
func plainly(err error, files []archive.TakeFile) error {
	var no *worker.Refused
	if !errors.As(err, &no) {
		return err
	}
	why := no.Why
	var as *notes.Error
	if errors.As(err, &as) {
		why = as.At(notes.Desk)
	}
	for _, f := range files {
		why = strings.ReplaceAll(why, strconv.Quote(f.File), "the clip from the "+f.View)
	}
	return &worker.Refused{Why: why}
}
