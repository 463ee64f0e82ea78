package pipeline

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"

	"steadfall/internal/notes"
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
	if n, ok := feetNote(*res.Feet, limb); ok {
		res.Note(n)
	}
	if feet := count(limb); (list.Feet == scoring.OneFoot && feet == 2) || (list.Feet == scoring.TwoFeet && feet == 1) {
		res.Note(notes.New(notes.OtherChecklist, "", list.Name, string(list.Feet), float64(feet)))
	}
}

// describe says in the result what is known of a view: its clip, its points, how it was filmed.
func (r Request) describe(res *scoring.Result, i int, v seen, w View) {
	to, t := &res.Views[i], w.Track
	to.Clip, to.Width, to.Height = filepath.Base(v.source.name()), t.Width, t.Height
	to.Points, to.Mirrored, to.LeftLeg = w.Points, r.Points.Mirrored, leftLeg(t.View, r.Points.Mirrored)
	for _, note := range v.placed.notes {
		note.View = t.View
		res.Note(note)
	}
	for _, c := range video.Capture(t, r.Task, w.Options.CaptureFPS) {
		to.Capture = append(to.Capture, scoring.CaptureCheck{Check: c.Name, Value: c.Value, Unit: c.Unit, Verdict: c.Verdict, Why: c.Why})
	}
}

// feetNote is what is to be said of the feet that landed; there is none where they were seen as
// asked.
func feetNote(feet scoring.FeetCheck, limb kinematics.Side) (n kinematics.Note, ok bool) {
	switch {
	case feet.Finding == scoring.Error:
		n = notes.New(notes.OtherFeet, notes.SayWhichLanded)
		n.Severity = kinematics.Refusal
	case feet.Finding == scoring.NotSeen && limb == kinematics.Both:
		n = notes.New(notes.FootUnseen, notes.SayWhichFoot)
	case feet.Finding == scoring.NotSeen:
		n = notes.New(notes.OtherFootUnseen, "")
	default:
		return n, false
	}
	return n, true
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
