package kinematics

import "math"

// Gravity is the standard acceleration of free fall, m/s².
const Gravity = 9.81

// FlightHeightM is the height in metres of a jump with a flight of t seconds,
// h = g·t²/8. It takes the body to land in the posture it left in; landing with
// bent joints adds to it (Yamashita et al. 2020, Appl Sci 10:776: 2.5 cm on
// average).
func FlightHeightM(t float64) float64 { return Gravity * t * t / 8 }

// PostureBiasM is by how much the flight time makes a jump of h metres seem higher when
// the body's centre is d metres lower at landing than at take-off: the flight lasts
// T = (v + √(v² + 2gd))/g with v = √(2gh), and g·T²/8 is taken for h.
func PostureBiasM(h, d float64) float64 {
	v := math.Sqrt(2 * Gravity * h)
	return FlightHeightM((v+math.Sqrt(v*v+2*Gravity*d))/Gravity) - h
}

// DropSpeed is the speed in m/s at which a body that fell h metres arrives, and
// the time in seconds that it took.
func DropSpeed(h float64) (v, t float64) {
	return math.Sqrt(2 * Gravity * h), math.Sqrt(2 * h / Gravity)
}

// jumpMeasures are flight, height and, where the athlete rebounds, contact time
// and reactive strength.
func (s *analysis) jumpMeasures() []value {
	if !s.opt.Task.Jumps() {
		return nil
	}
	w := s.when
	off, on := w.liftOff, w.first
	if s.opt.Task == DropJump || s.opt.Task == RepeatedJumps {
		off, on = w.rebound, w.again
	}
	flight := on - off
	const unseen = WhyFlightUnseen
	mk := func(name, unit string, v float64, why Code) value {
		return value{name: name, side: Both, v: v, unit: unit, t: off, why: why}
	}
	height := FlightHeightM(flight)
	out := []value{
		mk("flight_time", unitS, flight, unseen),
		mk("jump_height", unitCM, 100*height, unseen),
		mk("hip_rise", unitCM, s.hipRise(off, on), unseen),
	}
	out = append(out, mk("posture_bias", unitCM, s.postureBias(off, on), unseen))
	out[2].grows, out[3].grows = asFall, asFall
	if !s.sc.Known() {
		out[2].why, out[3].why = NoteNoScale, NoteNoScale
	}
	if s.opt.Task == DropJump || s.opt.Task == RepeatedJumps {
		contact := w.rebound - w.first
		out = append(out,
			mk("contact_time", unitS, contact, unseen),
			mk("reactive_strength", unitRSI, height/contact, unseen),
			mk("flight_contact_ratio", unitPlain, flight/contact, unseen))
	}
	return append(out, s.pushMeasures()...)
}

// heightsNote compares the two heights of a jump, which share no number: from the time in
// the air, put right for the posture, and from the hips.
func (l *Landing) heightsNote() {
	h, okH := l.Measure("jump_height", Both)
	b, okB := l.Measure("posture_bias", Both)
	r, okR := l.Measure("hip_rise", Both)
	if !okH || !okB || !okR {
		return
	}
	if d, sd := h.Value-b.Value-r.Value, math.Sqrt(sq(h.SD)+sq(b.SD)+sq(r.SD)); math.Abs(d) > 2*sd {
		l.Notes = append(l.Notes, warning(NoteHeightsDiffer, HintCheckJump, h.Value-b.Value, math.Hypot(h.SD, b.SD), r.Value, r.SD))
	}
}

// hipRise is how far the hips rise from take-off to the top of the flight, cm.
func (s *analysis) hipRise(off, on float64) float64 {
	if math.IsNaN(off) || math.IsNaN(on) {
		return math.NaN()
	}
	hip := s.middle(s.light, Hip)
	top, _ := s.least(hip.y, off, on)
	return s.cm(valueAt(hip.y, s.place(off)) - top)
}

// pullMeasures tell pulling down from falling in a snap-down: the greatest
// downward acceleration of the hips between the tallest and the lowest instant,
// over g, and the time between the two.
func (s *analysis) pullMeasures(hip path) []value {
	if s.opt.Task != SnapDown {
		return nil
	}
	w := s.when
	acc := derivative(derivative(hip.y, s.fs), s.fs)
	most, t := s.most(acc, w.start, w.lowest, nil)
	l := On(Left, Hip)
	if near := s.view.Near(); near == Right || !s.has(l) {
		l = On(Right, Hip)
	}
	fc, noise := s.cutoff[l][1], s.motion.noise[l]
	// The standard deviation of the second derivative of white noise behind a
	// low-pass at fc: σ·√(2/fs·(2π)⁴·fc⁵/5).
	own := noise * math.Sqrt(2/s.fs*math.Pow(2*math.Pi, 4)*math.Pow(fc, 5)/5)
	why := WhyPullUnseen
	if !s.sc.Known() {
		why = NoteNoScale
	}
	return []value{
		{name: "pull_down", side: Both, v: s.cm(most) / 100 / Gravity, unit: unitG, t: t, why: why, own: s.cm(own) / 100 / Gravity},
		{name: "pull_down_time", side: Both, v: w.lowest - w.start, unit: unitS, t: w.start, why: why},
	}
}

// Why measures of this file may be missing.
const (
	WhyFlightUnseen Code = "flight_unseen"
	WhyPullUnseen   Code = "pull_unseen"
)
