package pipeline

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"

	"steadfall/kinematics"
	"steadfall/scoring"
	"steadfall/video"
)

// scored is the outcome of one landing, still without pictures, and the landing as far as it may
// be told, in each view.
func (r Request) scored(views []seen, n int, landings []kinematics.Landing) (Outcome, []kinematics.Landing, error) {
	feet, limb, told := scoring.Judged(r.Limb, landings)
	list, err := r.checklist(count(limb))
	if err != nil {
		return Outcome{}, nil, err
	}
	out := Outcome{
		Result:    scoring.NewResult(r.Task, limb, told, scoring.Apply(list, told)),
		Checklist: list,
	}
	res := &out.Result
	res.Feet = &feet
	res.Tool, res.HeightCM, res.MassKG, res.AgeYears = r.Tool, r.StatureCM, r.MassKG, r.AgeYears
	res.Published = append(res.Published, scoring.Published(r.Task, count(limb), r.AgeYears)...)
	if of := len(views[0].trials); of > 1 {
		res.Landing = &scoring.WhichLanding{Number: n + 1, Of: of, ContactS: views[0].trials[n].ContactS}
	}
	sayFeet(res, list, limb)
	for i, v := range views {
		w := View{v.trials[n].Track, v.placed.how, r.options(v.source, v.placed)}
		out.Views = append(out.Views, w)
		r.describe(res, i, v, w)
	}
	return out, told, nil
}

// count is how many feet that is.
func count(limb kinematics.Side) int {
	if limb == kinematics.Both {
		return 2
	}
	return 1
}

// sayFeet adds what is to be said of the feet that landed.
func sayFeet(res *scoring.Result, list scoring.Checklist, limb kinematics.Side) {
	note := feetNote(*res.Feet, limb)
	switch {
	case res.Feet.Finding == scoring.Error:
		res.Doubts = append(res.Doubts, note)
	case note != "":
		res.Warnings = append(res.Warnings, note)
	}
	if feet := count(limb); (list.Feet == scoring.OneFoot && feet == 2) || (list.Feet == scoring.TwoFeet && feet == 1) {
		res.Warnings = append(res.Warnings, fmt.Sprintf("the checklist %s is for %s-foot landings, but this one was on %d", list.Name, list.Feet, feet))
	}
}

// describe says in the result what is known of a view: its clip, its points, how it was filmed.
func (r Request) describe(res *scoring.Result, i int, v seen, w View) {
	to, t := &res.Views[i], w.Track
	to.Clip, to.Width, to.Height = filepath.Base(v.source.name()), t.Width, t.Height
	to.Points, to.Mirrored, to.LeftLeg = w.Points, r.Points.Mirrored, leftLeg(t.View, r.Points.Mirrored)
	for _, note := range v.placed.notes {
		res.Warnings = append(res.Warnings, string(t.View)+": "+note)
	}
	for _, c := range video.Capture(t, r.Task, w.Options.CaptureFPS) {
		to.Capture = append(to.Capture, scoring.CaptureCheck{Check: c.Name, Value: c.Value, Unit: c.Unit, Verdict: c.Verdict, Why: c.Why})
	}
}

// leftLeg says which leg is taken for the athlete's left.
func leftLeg(v kinematics.View, mirrored bool) string {
	switch {
	case v == kinematics.SideLeft:
		return "the near one"
	case v == kinematics.SideRight:
		return "the far one"
	case mirrored:
		return "the one on the left of the picture, which is a mirror image"
	}
	return "the one on the right of the picture"
}

// feetNote is what is to be said of the feet that landed; empty where they were seen as asked.
func feetNote(feet scoring.FeetCheck, limb kinematics.Side) (note string) {
	switch {
	case feet.Finding == scoring.Error:
		note = "the landing was not on the feet that were asked for, so nothing of it is scored; if it was meant so, say with --limb which landed"
	case feet.Finding == scoring.NotSeen && limb == kinematics.Both:
		note = "one foot was not seen to land, so the landing is taken to be on two feet; if it was on one, say which with --limb"
	case feet.Finding == scoring.NotSeen:
		note = "the other foot was not seen in the air, so the landing earns no step on one foot"
	}
	return note
}

// JSON is the result as indented JSON.
func JSON(r scoring.Result) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	if err := e.Encode(r); err != nil {
		return nil, fmt.Errorf("the result could not be written as JSON: %w", err)
	}
	return b.Bytes(), nil
}
