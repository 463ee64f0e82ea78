package kinematics

import "math"

// chiSquare95 is the 95th percentile of chi-square with two degrees of freedom.
const chiSquare95 = 5.991464547107979

// Ellipse is the 95 % prediction ellipse of points in the plane.
type Ellipse struct {
	Area         float64 // in the square of the points' unit
	Major, Minor float64 // semi-axes
	AngleDeg     float64 // of the major axis from x
}

// NewEllipse fits the 95 % ellipse in its chi-square form: area = π·5.99·√(λ1·λ2)
// with λ the eigenvalues of the sample covariance. Samples of a film follow on one
// another, so it describes the sway and is no statement of confidence (Schubert and
// Kirchner 2014, Gait Posture 39:518, on the forms). It panics if x and y differ in
// length; under three points give the zero Ellipse.
func NewEllipse(x, y []float64) Ellipse {
	if len(x) != len(y) {
		panic("kinematics: x and y of an ellipse differ in length")
	}
	n := float64(len(x))
	if n < 3 {
		return Ellipse{}
	}
	mx, my := mean(x), mean(y)
	var sxx, syy, sxy float64
	for i := range x {
		sxx += sq(x[i] - mx)
		syy += sq(y[i] - my)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	sxx, syy, sxy = sxx/(n-1), syy/(n-1), sxy/(n-1)
	half, diff := (sxx+syy)/2, math.Hypot((sxx-syy)/2, sxy)
	l1, l2 := half+diff, math.Max(half-diff, 0)
	return Ellipse{
		Area:     math.Pi * chiSquare95 * math.Sqrt(l1*l2),
		Major:    math.Sqrt(chiSquare95 * l1),
		Minor:    math.Sqrt(chiSquare95 * l2),
		AngleDeg: math.Atan2(2*sxy, sxx-syy) / 2 * deg,
	}
}

// swayCutoffHz filters the hips for path and ellipse: sway of a standing person
// lies under 3 Hz, tracking noise mostly above (common practice, no source).
const swayCutoffHz = 3.0

// sway is the way of the hips without what is too fast for a person who stands.
func (s *analysis) sway(hip path) path {
	return path{smooth(hip.x, swayCutoffHz, s.fs), smooth(hip.y, swayCutoffHz, s.fs)}
}

// holdMeasures are the steadiness after the landing.
var holdMeasures = []definition{
	{About: About{
		Name: "hold_time", Unit: unitS, Sides: WholeBody, Words: "held still",
		Definition: "the end of the hold less the first instant of stillness; at least so long where the clip ends first",
		Source:     common,
	}, body: holdTime},
	{About: About{
		Name: "time_to_still", Unit: unitS, Sides: WholeBody, Words: "from contact until still",
		Definition: "the first instant of stillness less contact",
		Source:     common,
	}, body: timeToStill},
	{About: About{
		Name: "hold_path", Unit: unitCM, Sides: WholeBody, Words: "way of the hips during the hold",
		Definition: "the length of the hips' path in the picture during the hold, filtered at 3 Hz, without what noise adds",
		Source:     "sway path: Schubert and Kirchner 2014, Gait Posture 39:518",
	}, body: swayOf(asPath, func(t *takings, h heldSway) float64 { return t.cm(h.length()) })},
	{About: About{
		Name: "hold_ellipse", Unit: unitCM2, Sides: WholeBody, Words: "95 % ellipse of the hips during the hold",
		Definition: "the area of the 95 % prediction ellipse of the hips in the picture during the hold, without what noise adds",
		Source:     "Schubert and Kirchner 2014, Gait Posture 39:518",
	}, body: swayOf(asArea, func(t *takings, h heldSway) float64 { return NewEllipse(h.x, h.y).Area * sq(t.sc.CMPerPx) })},
	{About: About{
		Name: "hold_drift", Unit: unitCM, Sides: WholeBody, Words: "hips moved from start to end of the hold",
		Definition: "the mean place of the hips in the last eighth of the hold from that in the first",
		Source:     common,
	}, body: swayOf(asSize, func(t *takings, h heldSway) float64 { return t.cm(h.drift()) })},
	{About: About{
		Name: "foot_shift", Unit: unitCM, Sides: WholeBody, Words: "standing foot moved during the hold",
		Definition: "98th percentile of a standing foot's distance from its median place, the larger of the two",
		Source:     common,
	}, body: footShift},
}

// heldSway is the way of the hips during a hold, px; empty where too little of it was seen.
type heldSway struct{ x, y []float64 }

// sways is it, worked out once.
func (t *takings) sways() heldSway {
	return once(t, "sways", Both, func() (h heldSway) {
		a, b := t.span(t.when.still, t.when.holdEnd)
		if math.IsNaN(t.when.still) || b < a { // a disturbed end may come before a disturbed start
			return h
		}
		p := t.sway(t.hips)
		if x, y := seen(p.x[a:b+1]), seen(p.y[a:b+1]); len(x) >= 5 && len(x) == len(y) {
			h = heldSway{x, y}
		}
		return h
	})
}

// length is the length of the way, px.
func (h heldSway) length() float64 {
	length := 0.0
	for i := 1; i < len(h.x); i++ {
		length += math.Hypot(h.x[i]-h.x[i-1], h.y[i]-h.y[i-1])
	}
	return length
}

// drift is how far the last eighth of the way is from the first, px.
func (h heldSway) drift() float64 {
	n, q := len(h.x), max(len(h.x)/8, 1)
	return math.Hypot(mean(h.x[n-q:])-mean(h.x[:q]), mean(h.y[n-q:])-mean(h.y[:q]))
}

// whyNoHold is why nothing is told of a hold.
func (t *takings) whyNoHold() Code {
	if t.hold.ending == OtherFoot {
		return WhyOtherFootDown
	}
	return WhyNeverStill
}

func holdTime(t *takings) value {
	out := value{v: t.when.holdEnd - t.when.still, t: t.when.still, why: t.whyNoHold()}
	out.atLeast = !math.IsNaN(t.when.still) && (t.hold.ending.open() || t.hold.since)
	return out
}

func timeToStill(t *takings) value {
	out := value{v: t.when.still - t.when.from(), t: t.when.still, why: t.whyNoHold()}
	if !math.IsNaN(t.when.still) && t.hold.since {
		out.v, out.why = math.NaN(), WhyHipsUnseenBefore
	}
	return out
}

// swayOf is a measure of the way of the hips during the hold.
func swayOf(bias noiseBias, of func(*takings, heldSway) float64) func(*takings) value {
	return func(t *takings) value {
		out := value{v: math.NaN(), t: t.when.still, why: t.whyNoHold(), bias: bias}
		if math.IsNaN(t.when.still) {
			return out
		}
		if h := t.sways(); len(h.x) > 0 {
			out.v = of(t, h)
		}
		return t.length(out)
	}
}

func footShift(t *takings) value {
	out := swayOf(asSize, func(t *takings, _ heldSway) float64 { return t.footMoved() })(t)
	if math.IsNaN(out.v) && t.sc.Known() && len(t.sways().x) > 0 {
		out.why = WhyStandingFootUnseen
	}
	return out
}

// footMoved is how far a standing foot got from its place after coming down, the
// larger of the two, in cm. It is not known where one of them was not seen all through the
// hold, except for the far one from the side.
func (s *analysis) footMoved() float64 {
	w := s.when
	most := math.NaN()
	for _, side := range s.legs() {
		p, ok := s.pos[On(side, Toe)]
		if !ok {
			p, ok = s.pos[On(side, Ankle)]
		}
		a, b := s.span(w.settled(), w.holdEnd)
		if !ok || a >= b || !s.seen(p.x, w.settled(), w.holdEnd) {
			if near := s.view.Near(); near == side.Other() {
				continue // hidden half of the time
			}
			return math.NaN()
		}
		c := pt{median(p.x[a : b+1]), median(p.y[a : b+1])}
		far := s.newCurve(func(i int) float64 { return p.at(i).to(c) })
		if v := quantile(far[a:b+1], 0.98); !(v <= most) {
			most = v
		}
	}
	return s.cm(most)
}

// Why measures of this file may be missing.
const (
	WhyNeverStill         Code = "never_still"
	WhyOtherFootDown      Code = "other_foot_down"
	WhyHipsUnseenBefore   Code = "hips_unseen_before_still"
	WhyStandingFootUnseen Code = "standing_foot_unseen"
)
