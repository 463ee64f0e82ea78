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
func (s *analysis) holdMeasures(p path) []value {
	w := s.when
	noHold := WhyNeverStill
	if s.hold.ending == OtherFoot {
		noHold = WhyOtherFootDown
	}
	mk := func(name, unit string, v float64) value {
		return value{name: name, side: Both, v: v, unit: unit, t: w.still, why: noHold}
	}
	nan := math.NaN()
	out := []value{
		mk("hold_time", unitS, w.holdEnd-w.still),
		mk("time_to_still", unitS, w.still-w.from()),
		mk("hold_path", unitCM, nan), mk("hold_ellipse", unitCM2, nan), mk("hold_drift", unitCM, nan), mk("foot_shift", unitCM, nan),
	}
	if math.IsNaN(w.still) {
		return out
	}
	out[0].atLeast = s.hold.ending.open() || s.hold.since
	if s.hold.since {
		out[1].v, out[1].why = nan, WhyHipsUnseenBefore
	}
	if !s.sc.Known() {
		for i := 2; i < len(out); i++ {
			out[i].why = NoteNoScale
		}
		return out
	}
	a, b := s.span(w.still, w.holdEnd)
	if b < a { // a disturbed end may come before a disturbed start
		return out
	}
	x, y := seen(p.x[a:b+1]), seen(p.y[a:b+1])
	if len(x) < 5 || len(x) != len(y) {
		return out
	}
	length := 0.0
	for i := 1; i < len(x); i++ {
		length += math.Hypot(x[i]-x[i-1], y[i]-y[i-1])
	}
	q := max(len(x)/8, 1)
	drift := math.Hypot(mean(x[len(x)-q:])-mean(x[:q]), mean(y[len(y)-q:])-mean(y[:q]))
	out[2].v = s.cm(length)
	out[3].v = NewEllipse(x, y).Area * sq(s.sc.CMPerPx)
	out[4].v = s.cm(drift)
	out[5].v = s.footShift()
	out[2].grows, out[3].grows, out[4].grows, out[5].grows = asPath, asArea, asSize, asSize
	if math.IsNaN(out[5].v) {
		out[5].why = WhyStandingFootUnseen
	}
	return out
}

// footShift is how far a standing foot got from its place after coming down, the
// larger of the two, in cm. It is not known where one of them was not seen all through the
// hold, except for the far one from the side.
func (s *analysis) footShift() float64 {
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

// depthMeasures are how far the hips sink, from contact and from standing.
func (s *analysis) depthMeasures(hip path) []value {
	w := s.when
	_, low := s.lowest(hip, w.from(), w.settled())
	depth := low - valueAt(s.middle(s.light, Hip).y, s.place(w.first))
	mk := func(name, unit string, v float64, why Code) value {
		return value{name: name, side: Both, v: v, unit: unit, t: w.lowest, why: why}
	}
	const unseen = WhyDepthUnseen
	out := []value{
		mk("landing_depth", unitCM, s.cm(depth), unseen),
		mk("landing_depth_share", unitPart, 100*depth/s.hip, unseen),
		mk("landing_depth_from_standing", unitCM, math.NaN(), WhyStandingDepthUnseen),
	}
	ank := s.middle(s.pos, Ankle)
	if s.found && ank.y != nil {
		left := s.over(ank.y, w.lowest-0.03, w.lowest+0.03) - low + ankleHeight*s.body
		out[2].v = s.cm(s.hip - left)
	}
	if !s.sc.Known() {
		out[0].why, out[2].why = NoteNoScale, NoteNoScale
	}
	return out
}

// Why measures of this file may be missing.
const (
	WhyNeverStill          Code = "never_still"
	WhyOtherFootDown       Code = "other_foot_down"
	WhyHipsUnseenBefore    Code = "hips_unseen_before_still"
	WhyStandingFootUnseen  Code = "standing_foot_unseen"
	WhyDepthUnseen         Code = "depth_unseen"
	WhyStandingDepthUnseen Code = "standing_depth_unseen"
)
