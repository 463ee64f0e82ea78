package worker

import (
	"encoding/json"
	"fmt"

	"steadfall/internal/notes"
	"steadfall/internal/pipeline"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/scoring"
	"steadfall/video"
)

// Refused is why a clip gives no result, in one plain sentence. Trying again gives the same.
type Refused struct {
	Why   string
	Cause error // a *notes.Error where it is known as data, or nil
}

func (r *Refused) Error() string { return r.Why }

// Unwrap is the cause.
func (r *Refused) Unwrap() error { return r.Cause }

// job is what the child is asked: to score a request, to follow the points of a clip, to look
// at it, or to hand out its frames.
type job struct {
	Score   *pipeline.Request `json:",omitempty"`
	Track   *tracking         `json:",omitempty"`
	Inspect *inspecting       `json:",omitempty"`
	Frames  string            `json:",omitempty"` // path of a clip
	Patient bool              `json:",omitempty"` // computing has no limit: somebody watches how far it is
}

type tracking struct {
	Points pipeline.Points
	Source pipeline.Source
	View   kinematics.View
}

type inspecting struct {
	Clip string
	Task kinematics.Task
}

// message is one line of what the child answers. The last is Done, Failed or Unable.
type message struct {
	Stage       string            `json:",omitempty"`
	Steps, Of   int               `json:",omitempty"`
	Frame       int               `json:",omitempty"`
	JPEG        []byte            `json:",omitempty"`
	Outcome     *outcome          `json:",omitempty"`
	Track       []byte            `json:",omitempty"` // the next piece of its CSV
	Notes       []kinematics.Note `json:",omitempty"` // what the reader of the track should know
	Report      *video.Report     `json:",omitempty"`
	Done        bool              `json:",omitempty"`
	Failed      string            `json:",omitempty"` // a plain sentence
	Why         []kinematics.Note `json:",omitempty"` // the same as data, where it is known
	File        string            `json:",omitempty"` // that it is about
	Unable      string            `json:",omitempty"` // why it could not begin, which is no clip's fault
	Interrupted bool              `json:",omitempty"`
}

// outcome is a pipeline.Outcome in a form that JSON keeps whole: draws apart from their
// measures.
type outcome struct {
	Result    scoring.Result
	Draws     [][]float64
	Checklist scoring.Checklist
	Views     []pipeline.View
	Pictures  []report.Picture
	Reels     []pipeline.Reel
}

func packed(o pipeline.Outcome) *outcome {
	p := outcome{Result: o.Result, Checklist: o.Checklist, Views: o.Views, Pictures: o.Pictures, Reels: o.Reels}
	for _, m := range o.Result.Measures {
		p.Draws = append(p.Draws, m.Draws)
	}
	return &p
}

func (o outcome) unpacked() (pipeline.Outcome, error) {
	out := pipeline.Outcome{Result: o.Result, Checklist: o.Checklist, Views: o.Views, Pictures: o.Pictures, Reels: o.Reels}
	if len(o.Draws) != len(o.Result.Measures) {
		return out, fmt.Errorf("%d measures came with the draws of %d", len(o.Result.Measures), len(o.Draws))
	}
	for i, d := range o.Draws {
		out.Result.Measures[i].Draws = d
	}
	return out, nil
}

func unpacked(all []outcome) ([]pipeline.Outcome, error) {
	var out []pipeline.Outcome
	for _, o := range all {
		t, err := o.unpacked()
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}

// refused is why a clip gives nothing.
func (m message) refused() error {
	r := &Refused{Why: m.Failed}
	if m.Why != nil {
		r.Cause = &notes.Error{File: m.File, Notes: m.Why}
	}
	return r
}

func line(m message) ([]byte, error) {
	b, err := json.Marshal(m)
	return append(b, '\n'), err
}
