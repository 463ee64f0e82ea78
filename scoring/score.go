package scoring

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"steadfall/internal/notes"
	"steadfall/kinematics"
)

// Verdict is what was found of one item.
type Verdict string

// The verdicts. A value within its uncertainty of the threshold is too close to
// call, never silently passed or failed.
const (
	Clear    Verdict = "clear"
	Error    Verdict = "error"
	TooClose Verdict = "too_close"
	NotSeen  Verdict = "not_seen"
	ForRater Verdict = "rater"
)

// The probability of an error at which it is sure, and at which its absence is:
// a one-sided guard band of 95 % on either side (JCGM 106:2012, guarded
// acceptance and rejection).
const (
	sureError = 0.95
	sureClear = 0.05
)

// Finding is one item of a checklist decided, for one side.
type Finding struct {
	ID          string          `json:"id"`
	Text        string          `json:"text"`
	Side        kinematics.Side `json:"side"`
	Finding     Verdict         `json:"finding"`
	Points      int             `json:"points"` // given: the item's points for a sure error, else 0
	Worth       int             `json:"worth"`  // the item's points
	Probability *float64        `json:"probability,omitempty"`
	Measure     string          `json:"measure,omitempty"`
	Value       *float64        `json:"value,omitempty"`
	SD          *float64        `json:"sd,omitempty"`
	Unit        string          `json:"unit,omitempty"`
	ErrorWhen   string          `json:"error_when,omitempty"`
	Threshold   *float64        `json:"threshold,omitempty"`
	View        kinematics.View `json:"view,omitempty"`
	Frame       *int            `json:"frame,omitempty"`
	TimeS       *float64        `json:"time_s,omitempty"`
	Why         string          `json:"why,omitempty"` // for not_seen
	Cue         string          `json:"cue,omitempty"`
	Well        string          `json:"well,omitempty"` // what the athlete is told when it is clear
	Source      string          `json:"source"`
	Override    *Override       `json:"overruled,omitempty"` // by a person; Finding is theirs
	Tool        Verdict         `json:"tool,omitempty"`      // what the tool had said then
}

// Override is what a person said of one finding, with their reason.
type Override struct {
	Item    string          `json:"item"`
	Side    kinematics.Side `json:"side"`
	Finding Verdict         `json:"finding"` // clear or error
	Reason  string          `json:"reason"`
	By      string          `json:"by"`
	Made    string          `json:"made"`
}

// Score is a checklist applied to one trial. Errors counts the points of sure
// errors; Expected, Low and High are the mean and the 5th and 95th percentile of
// the total over the seeded disturbances, of the items that were seen.
type Score struct {
	Checklist string    `json:"checklist"`
	Title     string    `json:"title"`
	Errors    int       `json:"errors"`
	Expected  float64   `json:"expected"`
	Low       int       `json:"low"`
	High      int       `json:"high"`
	Most      int       `json:"most"` // points that the seen items could give
	Items     []Finding `json:"items"`
}

// ErrorProbability is the probability, 0 to 1, that the true value is past the threshold T:
//
//	Φ((value − T)/sd)  for an error above T,
//	Φ((T − value)/sd)  for one below,
//
// where Φ is the distribution function of the standard normal. All three are in the unit of
// the measure, with its sign. An sd of 0 gives 0 or 1, and NaN where the value is T; NaN in
// gives NaN. The source is JCGM 106:2012 (docs/sources.md).
func ErrorProbability(value, sd, threshold float64, errorAbove bool) float64 {
	z := (value - threshold) / sd
	if !errorAbove {
		z = -z
	}
	return distuv.UnitNormal.CDF(z)
}

// Apply decides every item of the checklist on the landings of one trial, one for
// each view. The total is formed draw by draw, so that items resting on the same
// points move together.
func Apply(c Checklist, landings []kinematics.Landing) Score {
	s := Score{Checklist: c.Name, Title: c.Title}
	var total []float64
	for _, it := range c.Items {
		for _, d := range it.decide(landings) {
			s.Items = append(s.Items, d.Finding)
			s.Errors += d.Points
			if d.past == nil {
				continue
			}
			s.Most += d.Worth
			if total == nil {
				total = make([]float64, len(d.past))
			}
			for i, bad := range d.past {
				if bad {
					total[i] += float64(d.Worth)
				}
			}
		}
	}
	if len(total) > 0 {
		slices.Sort(total)
		var sum float64
		for _, v := range total {
			sum += v
		}
		n := float64(len(total))
		s.Expected = sum / n
		s.Low, s.High = int(total[int(0.05*n)]), int(total[int(math.Ceil(0.95*n))-1])
	}
	return s
}

// decided is a finding with, draw by draw, whether the value was past the
// threshold; past is nil where nothing was seen.
type decided struct {
	Finding
	past []bool
}

// Worded gives a finding the words and the threshold of its item.
func (it Item) Worded(f Finding) Finding {
	f.ID, f.Text, f.Worth, f.Measure, f.Unit, f.ErrorWhen, f.Cue, f.Well, f.Source = it.ID, it.Text, it.Points, it.Measure, it.Unit, it.ErrorWhen, it.Cue, it.Well, it.Source
	if !it.Rater {
		threshold := it.Threshold
		f.Threshold = &threshold
	}
	return f
}

func (it Item) decide(landings []kinematics.Landing) []decided {
	blank := it.Worded(Finding{Side: kinematics.Both})
	if it.Rater {
		blank.Finding = ForRater
		return []decided{{Finding: blank}}
	}
	var each []decided
	for _, l := range landings {
		if (it.View == "front" && l.View != kinematics.Front) || (it.View == "side" && !l.View.IsSide()) {
			continue
		}
		inView := it.inView(blank, l)
		if it.View == "either" { // the view that sees it best decides
			each = surer(each, inView)
			continue
		}
		each = append(each, inView...)
	}
	switch {
	case len(each) == 0:
		blank.Finding = NotSeen
		blank.Why = fmt.Sprintf("needs a clip from the %s", it.View)
		return []decided{{Finding: blank}}
	case it.Side == eitherLeg && len(each) > 1:
		return []decided{worst(each)}
	}
	return each
}

// surer is the one of two views' findings of an item that was seen, or is known to the
// smaller standard deviation.
func surer(a, b []decided) []decided {
	doubt := func(ds []decided) float64 {
		most := 0.0
		for _, d := range ds {
			if d.SD == nil {
				return math.Inf(1)
			}
			most = math.Max(most, *d.SD)
		}
		return most
	}
	if len(a) == 0 || doubt(b) < doubt(a) {
		return b
	}
	return a
}

func (it Item) inView(blank Finding, l kinematics.Landing) []decided {
	wanted := func(name string, side kinematics.Side) bool {
		return name == it.Measure && (it.Side == whole) == (side == kinematics.Both)
	}
	var out []decided
	for _, m := range l.Measures {
		if wanted(m.Name, m.Side) {
			out = append(out, it.judge(blank, m))
		}
	}
	blank.Finding, blank.View = NotSeen, l.View
	for _, m := range l.Missing {
		if wanted(m.Name, m.Side) {
			f := blank
			f.Side, f.Why = m.Side, notes.English(m.Why, notes.CommandLine)
			out = append(out, decided{Finding: f})
		}
	}
	if len(out) == 0 {
		blank.Why = "was not measured in this view"
		out = append(out, decided{Finding: blank})
	}
	return out
}

func (it Item) judge(f Finding, m kinematics.Measure) decided {
	size := func(v float64) float64 {
		if it.Absolute {
			return math.Abs(v)
		}
		return v
	}
	v, sd := size(m.Value), m.SD
	p := ErrorProbability(v, sd, it.Threshold, it.ErrorWhen == above)
	f.Side, f.View = m.Side, m.View
	if m.AtLeast && it.ErrorWhen == below && p > sureClear {
		about, _ := kinematics.Describe(m.Name)
		f.Finding = NotSeen
		f.Why = fmt.Sprintf("the clip ends too soon to tell (%s for at least %.1f %s); keep filming longer", about.Words, v, m.Unit)
		return decided{Finding: f}
	}
	f.Probability, f.Value, f.SD = &p, &v, &sd
	f.Frame, f.TimeS = &m.Frame, &m.TimeS
	switch {
	case p >= sureError:
		f.Finding, f.Points = Error, f.Worth
	case p <= sureClear:
		f.Finding = Clear
	default:
		f.Finding = TooClose
	}
	d := decided{Finding: f, past: make([]bool, len(m.Draws))}
	for i, x := range m.Draws {
		d.past[i] = (it.ErrorWhen == above) == (size(x) > it.Threshold)
	}
	return d
}

// worst is the leg most likely to show the error; the draws count an error when
// either leg shows it.
func worst(ds []decided) decided {
	best := ds[0]
	for _, d := range ds[1:] {
		if d.Probability == nil {
			continue
		}
		if best.Probability == nil || *d.Probability > *best.Probability {
			best = d
		}
	}
	for _, d := range ds { // of a leg that was not seen nobody knows that it did not
		if d.Finding.Finding == NotSeen && best.Finding.Finding != Error {
			return d
		}
	}
	joint := slices.Clone(best.past)
	for _, d := range ds {
		for i, bad := range d.past {
			if i < len(joint) {
				joint[i] = joint[i] || bad
			}
		}
	}
	best.past = joint
	return best
}
