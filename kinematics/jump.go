package kinematics

import "math"

// jumpMeasures are of the jump of a task that has one: the one before the landing or, where the
// athlete rebounds from it, the one after; and how it was prepared.
var jumpMeasures = []definition{
	{About: About{
		Name: "flight_time", Unit: unitS, Sides: WholeBody, Words: "in the air",
		Definition: "the landing of the jump less its take-off",
		Source:     common,
	}, when: Task.Jumps, body: ofJump(func(t *takings, off, on float64) float64 { return on - off })},
	{About: About{
		Name: "jump_height", Unit: unitCM, Sides: WholeBody, Words: "jump height from the flight time",
		Definition: "g·t²/8 with t the flight time",
		Source:     "Yamashita et al. 2020, Appl Sci 10:776",
	}, when: Task.Jumps, body: ofJump(func(t *takings, off, on float64) float64 { return 100 * FlightHeightM(on-off) })},
	{About: About{
		Name: "hip_rise", Unit: unitCM, Sides: WholeBody, Words: "hips rise from take-off to the top",
		Definition: "the middle of the hips at its highest in flight, above where it was at take-off",
		Source:     common,
	}, when: Task.Jumps, body: byHips((*takings).hipRise)},
	{About: About{
		Name: "posture_bias", Unit: unitCM, Sides: WholeBody, Words: "too much (+) in that height, for landing lower than take-off",
		Definition: "g·t²/8 less v²/2g with v = g·t/2 − d/t, where d is how much lower the hips are at landing than at take-off",
		Sign:       "positive is a height that flight time makes too much", Source: "Yamashita et al. 2020, Appl Sci 10:776",
	}, when: Task.Jumps, body: byHips((*takings).postureBias)},
	{About: About{
		Name: "contact_time", Unit: unitS, Sides: WholeBody, Words: "on the ground between landing and jump",
		Definition: "the take-off after the landing less the landing",
		Source:     common,
	}, when: Task.rebounds, body: ofJump(func(t *takings, off, on float64) float64 { return off - t.when.first })},
	{About: About{
		Name: "reactive_strength", Unit: unitRSI, Sides: WholeBody, Words: "jump height over contact time",
		Definition: "g·t²/8 in m over the contact time",
		Source:     "Flanagan and Comyns 2008, Strength Cond J 30:32, from memory",
	}, when: Task.rebounds, body: ofJump(func(t *takings, off, on float64) float64 {
		return FlightHeightM(on-off) / (off - t.when.first)
	})},
	{About: About{
		Name: "flight_contact_ratio", Unit: unitPlain, Sides: WholeBody, Words: "time in the air over time on the ground",
		Definition: "the flight time over the contact time",
		Source:     common,
	}, when: Task.rebounds, body: ofJump(func(t *takings, off, on float64) float64 { return (on - off) / (off - t.when.first) })},
	{About: About{
		Name: "countermovement_depth", Unit: unitCM, Sides: WholeBody, Words: "hips sink before the push",
		Definition: "the hips at their lowest in the second before take-off, below their highest in the 1.2 s before that",
		Source:     common,
	}, when: Task.sinks, body: countermovementDepth},
	{About: About{
		Name: "squat_hold", Unit: unitS, Sides: WholeBody, Words: "held at the bottom before the push",
		Definition: "how long the hips kept still low before the push; 0 where they did not",
		Source:     common,
	}, when: Task.waits, body: squatHold},
	{About: About{
		Name: "squat_dip", Unit: unitCM, Sides: WholeBody, Words: "hips sink from that hold before the push",
		Definition: "the hips at their lowest before take-off, below their mean over the last half second of the hold at the bottom; 0 where they do not sink",
		Source:     common,
	}, when: Task.waits, body: squatDip},
}

// jump is when the jump that is measured takes off and lands, s.
func (t *takings) jump() (off, on float64) {
	if t.opt.Task.rebounds() {
		return t.when.rebound, t.when.nextContact
	}
	return t.when.liftOff, t.when.first
}

// ofJump is a measure told from the take-off and the landing of the jump.
func ofJump(of func(t *takings, off, on float64) float64) func(*takings) value {
	return func(t *takings) value {
		off, on := t.jump()
		return value{v: of(t, off, on), t: off, why: WhyFlightUnseen}
	}
}

// byHips is one told from the hips as well.
func byHips(of func(t *takings, off, on float64) float64) func(*takings) value {
	return func(t *takings) value {
		out := ofJump(of)(t)
		out.bias = asFall
		return t.length(out)
	}
}

// hipRise is how far the hips rise from take-off to the top of the flight, cm.
func (t *takings) hipRise(off, on float64) float64 {
	if math.IsNaN(off) || math.IsNaN(on) {
		return math.NaN()
	}
	hip := t.middle(t.light, Hip)
	top, _ := t.least(hip.y, off, on)
	return t.cm(valueAt(hip.y, t.position(off)) - top)
}

// postureBias is by how much flight time makes the jump seem higher, cm, told by how much
// lower the hips are at landing than at take-off: with d the fall of the hips over the
// flight and T its time, the speed of take-off is g·T/2 − d/T.
func (t *takings) postureBias(off, on float64) float64 {
	hip := t.middle(t.light, Hip)
	if hip.y == nil {
		return math.NaN()
	}
	d := t.cm(valueAt(hip.y, t.position(on))-valueAt(hip.y, t.position(off))) / 100
	air := on - off
	v := Gravity*air/2 - d/air
	return 100 * (FlightHeightM(air) - v*v/(2*Gravity))
}

// The hold at the bottom of a squat jump: the hips move by less than bottomSpeed body
// heights a second, for bottomLeastS at least, at bottomDepth of their standing height or
// more below standing, and the push follows within bottomThenS (common practice, no
// source).
const (
	bottomSpeed  = 0.05
	bottomLeastS = 0.25
	bottomDepth  = 0.10
	bottomThenS  = 1.0
)

// push is when the hips are lowest before take-off, s, and where, px; NaN where that was not seen.
func (t *takings) push() (at, low float64) {
	if math.IsNaN(t.when.liftOff) || t.hips.y == nil {
		return math.NaN(), math.NaN()
	}
	return t.lowest(t.hips, t.when.liftOff-bottomThenS, t.when.liftOff)
}

func countermovementDepth(t *takings) value {
	at, low := t.push()
	out := value{v: math.NaN(), t: at, why: WhyPushUnseen}
	if !math.IsNaN(low) {
		top, _ := t.least(t.hips.y, at-1.2, at)
		out.v = t.cm(low - top)
	}
	return t.length(out)
}

// squat is the hold at the bottom of a squat jump, s; ok is false where there is none.
type squat struct {
	from, to float64
	ok       bool
}

// squat is that before the push at a time, worked out once.
func (t *takings) squat(push float64) squat {
	return once(t, "squat", Both, func() (b squat) {
		b.from, b.to, b.ok = t.bottom(t.hips, push)
		return b
	})
}

func squatHold(t *takings) value {
	at, low := t.push()
	out := value{v: math.NaN(), t: at, why: WhyPushUnseen}
	if !math.IsNaN(low) {
		out.v = 0
	}
	if b := t.squat(at); b.ok {
		out.v, out.t = b.to-b.from, b.from
	}
	return out
}

func squatDip(t *takings) value {
	at, low := t.push()
	b := t.squat(at)
	if !b.ok {
		return t.length(value{v: math.NaN(), t: at, why: WhySquatNotHeld})
	}
	dip := t.cm(low - t.over(t.hips.y, math.Max(b.from, b.to-0.5), b.to))
	if dip < 0 {
		dip = 0
	}
	return t.length(value{v: dip, t: at, why: WhyPushUnseen})
}

// bottom is the last stretch before the lowest point in which the hips keep still low.
func (s *analysis) bottom(hip path, lowT float64) (from, to float64, ok bool) {
	if math.IsNaN(lowT) {
		return math.NaN(), math.NaN(), false
	}
	y := smooth(hip.y, stillCutoffHz*2, s.fs)
	v := derivative(y, s.fs)
	standing, _ := s.least(hip.y, s.t0, lowT)
	still := func(i int) bool {
		return math.Abs(v[i]) < bottomSpeed*s.body && hip.y[i]-standing > bottomDepth*s.hip
	}
	end := -1
	for i := s.near(s.when.liftOff); i >= 0 && s.time(i) > lowT-bottomThenS-2; i-- {
		switch {
		case end < 0 && still(i):
			end = i
		case end >= 0 && !still(i):
			if float64(end-i)/s.fs >= bottomLeastS {
				return s.time(i + 1), s.time(end), true
			}
			end = -1
		}
	}
	if end > 0 && float64(end)/s.fs >= bottomLeastS {
		return s.t0, s.time(end), true
	}
	return math.NaN(), math.NaN(), false
}

// Why measures of this file may be missing.
const (
	WhyFlightUnseen Code = "flight_unseen"
	WhyPushUnseen   Code = "push_unseen"
	WhySquatNotHeld Code = "squat_not_held"
)
