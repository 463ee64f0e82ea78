package worker

import (
	"bytes"
	"encoding/json"
	"fmt"

	"steadfall/internal/trial"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/scoring"
	"steadfall/video"
)

// job is what the child is asked: to score a request, to follow the points of a clip, to look
// at it, or to hand out its frames.
type job struct {
	Score   *trial.Request `json:",omitempty"`
	Track   *tracking      `json:",omitempty"`
	Inspect *inspecting    `json:",omitempty"`
	Frames  string         `json:",omitempty"` // path of a clip
	Patient bool           `json:",omitempty"` // computing has no limit: somebody watches how far it is
}

type tracking struct {
	Points trial.Points
	Source trial.Source
	View   kinematics.View
}

type inspecting struct {
	Clip string
	Task kinematics.Task
}

// message is one line of what the child answers. The last is Done, Failed or Unable.
type message struct {
	Stage       string        `json:",omitempty"`
	Steps, Of   int           `json:",omitempty"`
	Frame       int           `json:",omitempty"`
	JPEG        []byte        `json:",omitempty"`
	Outcome     *outcome      `json:",omitempty"`
	Track       []byte        `json:",omitempty"` // the next piece of its CSV
	Notes       []string      `json:",omitempty"` // what the reader of the track should know
	Report      *video.Report `json:",omitempty"`
	Done        bool          `json:",omitempty"`
	Failed      string        `json:",omitempty"` // a plain sentence
	Unable      string        `json:",omitempty"` // why it could not begin, which is no clip's fault
	Interrupted bool          `json:",omitempty"`
}

// outcome is a trial.Outcome in a form that JSON keeps whole: draws apart from their
// measures, tracks as text.
type outcome struct {
	Result    scoring.Result
	Draws     [][]float64
	Checklist scoring.Checklist
	Views     []held
	Pictures  []report.Picture
	Reels     []trial.Reel
}

type held struct {
	Track         []byte // CSV
	View          kinematics.View
	Width, Height int
	Points        string
	Options       kinematics.Options
}

func packed(o trial.Outcome) (*outcome, error) {
	p := outcome{Result: o.Result, Checklist: o.Checklist, Pictures: o.Pictures, Reels: o.Reels}
	for _, m := range o.Result.Measures {
		p.Draws = append(p.Draws, m.Draws)
	}
	for _, v := range o.Views {
		var b bytes.Buffer
		if err := kinematics.WriteTrack(&b, v.Track); err != nil {
			return nil, err
		}
		p.Views = append(p.Views, held{b.Bytes(), v.Track.View, v.Track.Width, v.Track.Height, v.Points, v.Options})
	}
	return &p, nil
}

func (o outcome) unpacked() (trial.Outcome, error) {
	out := trial.Outcome{Result: o.Result, Checklist: o.Checklist, Pictures: o.Pictures, Reels: o.Reels}
	if len(o.Draws) != len(o.Result.Measures) {
		return out, fmt.Errorf("%d measures came with the draws of %d", len(o.Result.Measures), len(o.Draws))
	}
	for i, d := range o.Draws {
		out.Result.Measures[i].Draws = d
	}
	for _, v := range o.Views {
		t, err := kinematics.ReadTrack(bytes.NewReader(v.Track), v.View)
		if err != nil {
			return out, err
		}
		t.Width, t.Height = v.Width, v.Height
		out.Views = append(out.Views, trial.Held{Track: t, Points: v.Points, Options: v.Options})
	}
	return out, nil
}

func unpacked(all []outcome) ([]trial.Outcome, error) {
	var out []trial.Outcome
	for _, o := range all {
		t, err := o.unpacked()
		if err != nil {
			return nil, err
		}
		if err := t.Finish(); err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}

func line(m message) ([]byte, error) {
	b, err := json.Marshal(m)
	return append(b, '\n'), err
}
