package scoring

import (
	_ "embed"

	"steadfall/kinematics"
)

// ResultSchema is the published JSON Schema of a result file.
//
//go:embed schema/result.schema.json
var ResultSchema []byte

// SchemaVersion is the version of the result format.
const SchemaVersion = 1

// Result is one scored trial, as it is written to JSON.
type Result struct {
	Schema   int                  `json:"schema"`
	Tool     string               `json:"tool"`
	Task     kinematics.Task      `json:"task"`
	Limb     kinematics.Side      `json:"limb"`
	HeightCM float64              `json:"athlete_height_cm,omitempty"`
	MassKG   float64              `json:"mass_kg,omitempty"`
	Views    []ViewResult         `json:"views"`
	Measures []kinematics.Measure `json:"measures"`
	Missing  []kinematics.Missing `json:"missing"`
	Series   map[string]Series    `json:"series"`
	Score    Score                `json:"score"`
	Warnings []string             `json:"warnings"`
	Landing  *WhichLanding        `json:"landing,omitempty"` // where the clips hold several
}

// WhichLanding names one landing of clips that hold several.
type WhichLanding struct {
	Number   int     `json:"number"` // from 1
	Of       int     `json:"of"`
	ContactS float64 `json:"contact_s"` // in the first view's clip
}

// ViewResult is what is known of one clip of the trial.
type ViewResult struct {
	View     kinematics.View         `json:"view"`
	Clip     string                  `json:"clip,omitempty"`
	Width    int                     `json:"width,omitempty"`
	Height   int                     `json:"height,omitempty"`
	Points   string                  `json:"points,omitempty"`   // how they were placed
	Mirrored bool                    `json:"mirrored,omitempty"` // the clip is a mirror image
	LeftLeg  string                  `json:"left_leg,omitempty"` // which leg is taken for the left
	Frames   int                     `json:"frames"`
	DurS     float64                 `json:"duration_s"`
	RateHz   float64                 `json:"rate_hz"`
	Scale    *kinematics.Scale       `json:"scale,omitempty"`
	Gravity  kinematics.GravityCheck `json:"gravity_check"`
	YawSDDeg float64                 `json:"yaw_sd_deg,omitempty"`
	Ending   kinematics.HoldEnding   `json:"hold_ending"`
	Events   []kinematics.Event      `json:"events"`
	Capture  []CaptureCheck          `json:"capture,omitempty"`
	Cutoffs  map[string][2]float64   `json:"cutoffs_hz"`
}

// CaptureCheck is one thing that decides whether a clip can be measured well.
type CaptureCheck struct {
	Check   string  `json:"check"`
	Value   float64 `json:"value"`
	Unit    string  `json:"unit"`
	Verdict string  `json:"verdict"` // good, fair or poor
	Why     string  `json:"why"`     // what it means and what to do next time
}

// Series are the curves of one view: the key time_s, and one key for each curve.
// A gap is null.
type Series map[string][]*float64

// NewViewResult puts what was measured in a view into the result's form.
func NewViewResult(l kinematics.Landing) ViewResult {
	v := ViewResult{
		View: l.View, RateHz: l.RateHz, Gravity: l.Gravity, YawSDDeg: l.YawSDDeg,
		Ending: l.Ending, Events: l.Events, Frames: len(l.TimeS), Cutoffs: map[string][2]float64{},
	}
	if n := len(l.TimeS); n > 0 {
		v.DurS = l.TimeS[n-1] - l.TimeS[0]
	}
	if l.Scale.Known() {
		s := l.Scale
		v.Scale = &s
	}
	for k, c := range l.Cutoffs {
		v.Cutoffs[string(k)] = c
	}
	return v
}

// NewResult joins the landings of one trial, one for each view, and the score
// into a result. Clip facts are the caller's to add.
func NewResult(task kinematics.Task, limb kinematics.Side, landings []kinematics.Landing, score Score) Result {
	r := Result{
		Schema: SchemaVersion, Task: task, Limb: limb, Score: score, Series: map[string]Series{},
		Measures: []kinematics.Measure{}, Missing: []kinematics.Missing{}, Warnings: []string{},
	}
	for _, l := range landings {
		r.Views = append(r.Views, NewViewResult(l))
		r.Measures = append(r.Measures, l.Measures...)
		r.Missing = append(r.Missing, l.Missing...)
		r.Series[string(l.View)] = newSeries(l)
		for _, w := range l.Warnings {
			r.Warnings = append(r.Warnings, string(l.View)+": "+w)
		}
	}
	return r
}

func newSeries(l kinematics.Landing) Series {
	s := Series{"time_s": nil}
	for i := range l.TimeS {
		s["time_s"] = append(s["time_s"], &l.TimeS[i])
	}
	for _, c := range l.Curves {
		vs, sds := make([]*float64, len(c.V)), make([]*float64, len(c.V))
		for i, v := range c.V {
			if v.OK {
				vs[i], sds[i] = &c.V[i].V, &c.SD[i]
			}
		}
		s[c.Name], s[c.Name+"_sd"] = vs, sds
	}
	return s
}
