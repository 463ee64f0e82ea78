package kinematics

import "math"

// Measure is one number of a landing with one standard deviation.
type Measure struct {
	Name  string  `json:"name"`
	Side  Side    `json:"side"`
	Value float64 `json:"value"`
	SD    float64 `json:"sd"`
	Unit  string  `json:"unit"`
	View  View    `json:"view"`
	Frame int     `json:"frame"` // the clip's frame the value is from
	TimeS float64 `json:"time_s"`
	// AtLeast says that the true value may be larger: the clip ended first.
	AtLeast bool `json:"at_least,omitempty"`

	// Draws are the values under the seeded disturbances that made SD, in the
	// same order for all measures of a landing, so that totals can be formed
	// draw by draw.
	Draws []float64 `json:"-"`
}

// YesNo reports whether the measure is a yes or no, 1 or 0, which has no interval.
func (m Measure) YesNo() bool { return m.Name == "toe_first" }

// Missing is a measure that could not be taken, and why.
type Missing struct {
	Name string
	Side Side
	View View
	Why  Note
}

// value is a measure being taken. A NaN v is missing; why says so.
type value struct {
	name string
	side Side
	v    float64
	unit string
	t    float64 // s
	own  float64 // a standard deviation that the disturbances do not hold
	why  Code

	atLeast bool // the true value may be larger
	grows   growth
}

// The units of measures.
const (
	unitDeg   = "deg"
	unitCM    = "cm"
	unitCM2   = "cm²"
	unitMS    = "ms"
	unitS     = "s"
	unitG     = "× g"
	unitPart  = "%"
	unitPlain = "–"
	unitRSI   = "m/s"
)

// analysis is all that the measures are taken from.
type analysis struct {
	*motion
	standing
	sc      Scale
	opt     Options
	when    eventTimes
	hold    hold
	swayed  path    // of the hips, as stillness is judged by it
	inAir   []Side  // feet that are seen off the floor just after contact
	airFrom float64 // when the last landing foot had left what it stood on, s
	roll    float64 // of the camera in this draw, degrees
	tilt    float64 // yaw of the camera about the vertical in this draw, radians
}

// eventTimes are the times of the events in seconds; NaN where there is none.
type eventTimes struct {
	start   float64          // of the fall, or the tallest instant
	contact map[Side]float64 // of each landing foot
	first   float64          // of the first foot
	lowest  float64
	still   float64
	holdEnd float64
	liftOff float64 // take-off of the jump before this landing
	rebound float64 // take-off after this landing's contact
	again   float64 // contact after the rebound
	toe     map[Side]float64
	heel    map[Side]float64
}

// from is where the landing begins for measures that look on from contact; in a
// snap-down without contact it is the start.
func (w eventTimes) from() float64 {
	if math.IsNaN(w.first) {
		return w.start
	}
	return w.first
}

// settled is the end of the stretch in which the athlete comes to rest: still, or
// 1 s after the lowest point where never still.
func (w eventTimes) settled() float64 {
	end := w.lowest + 1
	if !math.IsNaN(w.still) {
		end = w.still
	}
	if !math.IsNaN(w.rebound) {
		end = math.Min(end, w.rebound)
	}
	return end
}

// curve is a quantity over the whole grid and its time.
type curve []float64

// newCurve evaluates f at every sample.
func (s *analysis) newCurve(f func(i int) float64) curve {
	c := curve(s.samples())
	for i := range c {
		c[i] = f(i)
	}
	return c
}

// at is the curve's value at a time.
func (s *analysis) at(c curve, t float64) float64 { return valueAt(c, s.place(t)) }

// known says how well a curve is known: sd is its standard deviation at a sample,
// in its own unit, and best marks the samples at which it is about as small as it
// gets.
type known struct {
	sd   curve
	best []bool
}

// knownTo builds a known from the standard deviation at each sample; best are the
// samples between two times at which it is at most half more than the least.
func (s *analysis) knownTo(from, to float64, sd func(i int) float64) *known {
	k := &known{sd: s.newCurve(sd), best: make([]bool, s.n)}
	low, _ := s.least(k.sd, from, to)
	for i, v := range k.sd {
		k.best[i] = v <= 1.5*low
	}
	return k
}

// most is the largest value of the curve between two times and when it was. With k
// it is looked for where the curve is known best, so that a stretch in which points
// drift does not win by chance; a larger value elsewhere counts when it is larger
// beyond doubt, by two standard deviations of its own. It is not known then where a part of the
// time was not seen.
func (s *analysis) most(c curve, from, to float64, k *known) (v, t float64) {
	v, t = math.NaN(), math.NaN()
	if k != nil && !s.seen(c, from, to) {
		return v, t
	}
	a, b := s.span(from, to)
	for i := a; i <= b; i++ {
		if (k == nil || k.best[i]) && !math.IsNaN(c[i]) && !(c[i] <= v) {
			v, t = c[i], s.time(i)
		}
	}
	if k == nil {
		return v, t
	}
	floor := v
	for i := a; i <= b; i++ {
		if low := c[i] - 2*k.sd[i]; low > floor {
			floor, v, t = low, c[i], s.time(i)
		}
	}
	return v, t
}

// least is the smallest value between two times and when it was.
func (s *analysis) least(c curve, from, to float64) (v, t float64) {
	v, t = math.NaN(), math.NaN()
	a, b := s.span(from, to)
	for i := a; i <= b; i++ {
		if !math.IsNaN(c[i]) && !(c[i] >= v) {
			v, t = c[i], s.time(i)
		}
	}
	return v, t
}

// over is the mean of the curve between two times.
func (s *analysis) over(c curve, from, to float64) float64 {
	if math.IsNaN(from) || math.IsNaN(to) {
		return math.NaN()
	}
	a, b := s.span(from, to)
	if a > b {
		return math.NaN()
	}
	return mean(c[a : b+1])
}

// cm turns pixels at the landing place into centimetres; NaN without a scale.
func (s *analysis) cm(px float64) float64 {
	if !s.sc.Known() {
		return math.NaN()
	}
	return px * s.sc.CMPerPx
}
