package scoring

import (
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"

	"steadfall/internal/bounded"
	"steadfall/internal/notes"
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
	Limb     kinematics.Side      `json:"limb"` // landed on; Both on two feet
	HeightCM float64              `json:"athlete_height_cm,omitempty"`
	MassKG   float64              `json:"mass_kg,omitempty"`
	Views    []ViewResult         `json:"views"`
	Measures []kinematics.Measure `json:"measures"`
	Missing  []Missing            `json:"missing"`
	Series   map[string]Series    `json:"series"`
	Score    Score                `json:"score"`
	Doubts   []string             `json:"doubts,omitempty"` // why nothing, or nothing that rests on times, is told
	Warnings []string             `json:"warnings"`
	Remarks  []kinematics.Note    `json:"notes,omitempty"`   // what Doubts and Warnings say, as data
	Landing  *WhichLanding        `json:"landing,omitempty"` // where the clips hold several

	Feet      *FeetCheck       `json:"feet,omitempty"` // whether it was on those that were asked for
	Jump      *JumpCheck       `json:"jump,omitempty"` // whether it was done as asked
	AgeYears  float64          `json:"age_years,omitempty"`
	Limbs     []LimbDifference `json:"limbs"`     // right minus left
	Published []PublishedRange `json:"published"` // context, not limits
}

// Note adds what is to be said of the trial.
func (r *Result) Note(n kinematics.Note) {
	r.Remarks = append(r.Remarks, n)
	to := &r.Warnings
	if withholds(n) {
		to = &r.Doubts
	}
	*to = append(*to, notes.English(n, notes.CommandLine))
}

// withholds reports whether something is not told because of a note.
func withholds(n kinematics.Note) bool {
	return n.Severity == kinematics.Doubt || n.Severity == kinematics.Refusal
}

// Notes are all that is said of the trial, the doubts first. A result of before they were kept as
// data has the sentences alone.
func (r Result) Notes() []kinematics.Note { return slices.Concat(r.InDoubt(), r.Caveats()) }

// InDoubt is why nothing, or nothing that rests on times or lengths, is told.
func (r Result) InDoubt() []kinematics.Note { return r.noted(withholds, r.Doubts, kinematics.Doubt) }

// Caveats are what else is to be known of the trial.
func (r Result) Caveats() []kinematics.Note {
	return r.noted(func(n kinematics.Note) bool { return !withholds(n) }, r.Warnings, kinematics.Warning)
}

func (r Result) noted(which func(kinematics.Note) bool, sentences []string, severity kinematics.Severity) []kinematics.Note {
	var out []kinematics.Note
	for _, n := range r.Remarks {
		if which(n) {
			out = append(out, n)
		}
	}
	if r.Remarks == nil {
		for _, words := range sentences {
			out = append(out, notes.Read(words, severity))
		}
	}
	return out
}

// Missing is a measure that could not be taken, and why.
type Missing struct {
	Name string          `json:"name"`
	Side kinematics.Side `json:"side"`
	View kinematics.View `json:"view"`
	Why  string          `json:"why"` // in English
}

// mostOfAny is more than any measure of a landing, whatever its unit.
const mostOfAny = 1e6

// ParseResult reads a result file of this version. Errors are sentences without the file's name.
func ParseResult(data []byte) (Result, error) {
	var r Result
	if err := bounded.JSON(data); err != nil {
		return Result{}, err
	}
	if err := json.Unmarshal(data, &r); err != nil || r.Schema != SchemaVersion {
		return Result{}, errors.New("is not a result of this version; make it with steadfall score --json")
	}
	for _, m := range r.Measures {
		if math.Abs(m.Value) > mostOfAny || m.SD < 0 || m.SD > mostOfAny {
			return Result{}, fmt.Errorf("holds a %q that no landing has (%g ± %g); make it again with steadfall score --json", m.Name, m.Value, m.SD)
		}
	}
	return r, nil
}

// Surest is the measure of that name from the view that knows it best.
func (r Result) Surest(name string) (best kinematics.Measure, ok bool) {
	return surest(r.Measures, name)
}

func surest(ms []kinematics.Measure, name string) (best kinematics.Measure, ok bool) {
	for _, m := range ms {
		if m.Name == name && (!ok || m.SD < best.SD) {
			best, ok = m, true
		}
	}
	return best, ok
}

// FeetCheck says whether a landing was on the feet that were asked for: clear is as asked, error
// is on others, and not seen leaves it open.
type FeetCheck struct {
	Finding Verdict         `json:"finding"`
	Landed  kinematics.Side `json:"landed,omitempty"` // Both on two feet; empty where it was not seen
	Why     string          `json:"why,omitempty"`
}

// JumpCheck says whether a jump was done as its task asks: clear is valid, error invalid.
type JumpCheck struct {
	Finding     Verdict `json:"finding"`
	Probability float64 `json:"probability"` // that it is invalid
	Why         string  `json:"why"`
}

// WhichLanding names one landing of clips that hold several.
type WhichLanding struct {
	Number   int     `json:"number"` // from 1
	Of       int     `json:"of"`
	ContactS float64 `json:"contact_s"` // in the first view's clip
}

// ViewResult is what is known of one clip of the trial.
type ViewResult struct {
	View     kinematics.View       `json:"view"`
	Clip     string                `json:"clip,omitempty"`
	Width    int                   `json:"width,omitempty"`
	Height   int                   `json:"height,omitempty"`
	Points   string                `json:"points,omitempty"`   // how they were placed
	Mirrored bool                  `json:"mirrored,omitempty"` // the clip is a mirror image
	LeftLeg  string                `json:"left_leg,omitempty"` // which leg is taken for the left
	Frames   int                   `json:"frames"`
	DurS     float64               `json:"duration_s"`
	OffsetS  float64               `json:"offset_s"` // its contact after the first view's
	RateHz   float64               `json:"rate_hz"`
	Scale    *kinematics.Scale     `json:"scale,omitempty"`
	Gravity  GravityResult         `json:"gravity_check"`
	YawSDDeg float64               `json:"yaw_sd_deg,omitempty"`
	Ending   kinematics.HoldEnding `json:"hold_ending"`
	Events   []kinematics.Event    `json:"events"`
	Bounds   []BoundResult         `json:"bounds,omitempty"` // of repeated jumps
	Capture  []CaptureCheck        `json:"capture,omitempty"`
	Cutoffs  map[string][2]float64 `json:"cutoffs_hz"`
}

// GravityResult is a kinematics.GravityCheck.
type GravityResult struct {
	Measured float64                   `json:"measured_m_s2,omitempty"`
	SD       float64                   `json:"sd,omitempty"`
	Verdict  kinematics.GravityVerdict `json:"verdict"`
	Why      string                    `json:"why,omitempty"`  // in English
	Reason   *kinematics.Note          `json:"note,omitempty"` // the same, as data
}

func newGravity(g kinematics.GravityCheck) GravityResult {
	out := GravityResult{Measured: g.Measured, SD: g.SD, Verdict: g.Verdict, Reason: g.Why}
	if g.Why != nil {
		out.Why = notes.English(*g.Why, notes.CommandLine)
	}
	return out
}

// Note is why the check says what it does; ok is false where there is nothing to say.
func (g GravityResult) Note() (n kinematics.Note, ok bool) {
	switch {
	case g.Reason != nil:
		return *g.Reason, true
	case g.Why != "":
		return notes.Read(g.Why, kinematics.Info), true
	}
	return n, false
}

// BoundResult is one contact of repeated jumps and the jump from it, each number with one
// standard deviation.
type BoundResult struct {
	ContactS      float64 `json:"contact_s"`
	ContactTime   float64 `json:"contact_time_s"`
	ContactTimeSD float64 `json:"contact_time_sd"`
	FlightTime    float64 `json:"flight_time_s"`
	FlightTimeSD  float64 `json:"flight_time_sd"`
	HeightCM      float64 `json:"height_cm"`
	HeightSD      float64 `json:"height_sd"`
	Reactive      float64 `json:"reactive_m_s"`
	ReactiveSD    float64 `json:"reactive_sd"`
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
		View: l.View, RateHz: l.RateHz, Gravity: newGravity(l.Gravity), YawSDDeg: l.YawSDDeg,
		Ending: l.Ending, Events: l.Events, Frames: len(l.TimeS), Cutoffs: map[string][2]float64{},
	}
	for _, b := range l.Bounds {
		r := BoundResult{ContactS: b.ContactS, ContactTime: b.ContactTime, ContactTimeSD: b.ContactTimeSD, FlightTime: b.FlightTime, FlightTimeSD: b.FlightTimeSD}
		r.HeightCM, r.HeightSD = b.HeightCM()
		r.Reactive, r.ReactiveSD = b.Reactive()
		v.Bounds = append(v.Bounds, r)
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

// NewResult joins the landings of one trial on a leg, or on both, one for each view, and the
// score into a result. Clip facts are the caller's to add.
func NewResult(task kinematics.Task, limb kinematics.Side, landings []kinematics.Landing, score Score) Result {
	r := Result{
		Schema: SchemaVersion, Task: task, Limb: limb, Score: score, Series: map[string]Series{},
		Measures: []kinematics.Measure{}, Missing: []Missing{}, Warnings: []string{},
		Limbs: []LimbDifference{}, Published: []PublishedRange{},
	}
	offsets := aligned(landings)
	for i, l := range landings {
		v := NewViewResult(l)
		v.OffsetS = offsets[i]
		r.Views = append(r.Views, v)
		r.Limbs = append(r.Limbs, Limbs(l)...)
		r.Measures = append(r.Measures, l.Measures...)
		for _, m := range l.Missing {
			r.Missing = append(r.Missing, Missing{m.Name, m.Side, m.View, notes.English(m.Why, notes.CommandLine)})
		}
		r.Series[string(l.View)] = newSeries(l)
		if l.Doubt != nil {
			r.Note(*l.Doubt)
		}
		for _, n := range l.Notes {
			r.Note(n)
		}
	}
	for _, n := range disagreements(landings) {
		r.Note(n)
	}
	r.Jump = CheckJump(r)
	return r
}

// Landings are the landings of the result, one for each view, as far as Apply needs them:
// to score a result by another checklist. Its measures must have their draws.
func (r Result) Landings() []kinematics.Landing {
	var out []kinematics.Landing
	for _, v := range r.Views {
		l := kinematics.Landing{View: v.View, Task: r.Task}
		for _, m := range r.Measures {
			if m.View == v.View {
				l.Measures = append(l.Measures, m)
			}
		}
		for _, m := range r.Missing {
			if m.View == v.View {
				l.Missing = append(l.Missing, kinematics.Missing{Name: m.Name, Side: m.Side, View: m.View, Why: notes.Told(m.Why)})
			}
		}
		out = append(out, l)
	}
	return out
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
