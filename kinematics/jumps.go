package kinematics

import "math"

// Bound is one contact of a set of jumps and the jump from it. Times in s, each with one
// standard deviation.
type Bound struct {
	ContactS, TakeoffS, LandingS float64
	ContactTime, ContactTimeSD   float64
	FlightTime, FlightTimeSD     float64
}

// HeightCM is the height of the bound from its flight time, and its standard deviation,
// g·T/4 for each second of T.
func (b Bound) HeightCM() (cm, sd float64) {
	return 100 * FlightHeightM(b.FlightTime), 100 * Gravity * b.FlightTime / 4 * b.FlightTimeSD
}

// Reactive is the reactive strength of the bound, height over contact time, m/s, and its
// standard deviation (Flanagan and Comyns 2008 on the index).
func (b Bound) Reactive() (v, sd float64) {
	cm, sdCM := b.HeightCM()
	v = cm / 100 / b.ContactTime
	return v, v * math.Hypot(sdCM/cm, b.ContactTimeSD/b.ContactTime)
}

// The shortest contact and flight of a bound, s (common practice, no source).
const (
	leastContactS = 0.05
	leastFlightS  = 0.08
	mostContactS  = 1.0
	mostFlightS   = 1.2
)

// bounds are the contacts from which the athlete jumps on, in order.
func (m *motion) bounds(body float64) []Bound {
	all := m.landings(body)
	var out []Bound
	for i := 0; i+1 < len(all); i++ {
		on, next := all[i].first(), all[i+1].first()
		var off footContact
		for _, f := range all[i].feet {
			for _, e := range m.footLiftoffs(f.side, body) {
				if e.timeS > on.timeS+leastContactS && e.timeS < next.timeS-leastFlightS && e.timeS > off.timeS {
					off = e
				}
			}
		}
		b := Bound{ContactS: on.timeS, TakeoffS: off.timeS, LandingS: next.timeS, ContactTime: off.timeS - on.timeS, FlightTime: next.timeS - off.timeS}
		if off.timeS == 0 || b.ContactTime > mostContactS || b.FlightTime > mostFlightS {
			continue
		}
		b.ContactTimeSD = math.Hypot(math.Max(off.sdS, 0.5/m.fs), on.sdS)
		b.FlightTimeSD = math.Hypot(math.Max(off.sdS, 0.5/m.fs), next.sdS)
		out = append(out, b)
	}
	return out
}

// fade is by what share the heights of a set fall from its first third to its last, in
// percent, with the standard deviation; NaN for under three bounds.
func fade(bs []Bound) (percent, sd float64) {
	if len(bs) < 3 {
		return math.NaN(), math.NaN()
	}
	third := max(len(bs)/3, 1)
	part := func(bs []Bound) (mean, sd float64) {
		for _, b := range bs {
			cm, s := b.HeightCM()
			mean += cm / float64(len(bs))
			sd = math.Hypot(sd, s/float64(len(bs)))
		}
		return mean, sd
	}
	a, sdA := part(bs[:third])
	z, sdZ := part(bs[len(bs)-third:])
	return 100 * (1 - z/a), 100 * z / a * math.Hypot(sdA/a, sdZ/z)
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

// pushMeasures tell how the jump was prepared: the hold and the dip of a squat jump, the
// depth of a countermovement.
func (s *analysis) pushMeasures() []value {
	w := s.when
	hip := s.middle(s.pos, Hip)
	mk := func(name, unit string, v, at float64, why Code) value {
		return value{name: name, side: Both, v: v, unit: unit, t: at, why: why}
	}
	low, lowT := math.NaN(), math.NaN()
	if !math.IsNaN(w.liftOff) && hip.y != nil {
		lowT, low = s.lowest(hip, w.liftOff-bottomThenS, w.liftOff)
	}
	const unseen = WhyPushUnseen
	why := unseen
	if !s.sc.Known() {
		why = NoteNoScale
	}
	switch s.opt.Task {
	case CountermovementJump:
		depth := math.NaN()
		if !math.IsNaN(low) {
			top, _ := s.least(hip.y, lowT-1.2, lowT)
			depth = s.cm(low - top)
		}
		return []value{mk("countermovement_depth", unitCM, depth, lowT, why)}
	case SquatJump:
		from, to, ok := s.bottom(hip, lowT)
		if !ok {
			from = lowT
		}
		held, dip := math.NaN(), math.NaN()
		if !math.IsNaN(low) {
			held = 0
		}
		if ok {
			held = to - from
			dip = s.cm(low - s.over(hip.y, math.Max(from, to-0.5), to))
			if dip < 0 {
				dip = 0
			}
		} else if s.sc.Known() {
			why = WhySquatNotHeld
		}
		return []value{mk("squat_hold", unitS, held, from, unseen), mk("squat_dip", unitCM, dip, lowT, why)}
	}
	return nil
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

// postureBias is by how much flight time makes the jump seem higher, cm, told by how much
// lower the hips are at landing than at take-off: with d the fall of the hips over the
// flight and T its time, the speed of take-off is g·T/2 − d/T.
func (s *analysis) postureBias(off, on float64) float64 {
	hip := s.middle(s.light, Hip)
	if hip.y == nil {
		return math.NaN()
	}
	d := s.cm(valueAt(hip.y, s.place(on))-valueAt(hip.y, s.place(off))) / 100
	t := on - off
	v := Gravity*t/2 - d/t
	return 100 * (FlightHeightM(t) - v*v/(2*Gravity))
}

// setBounds adds the set of jumps, and how it fades, to what is told.
func (l *Landing) setBounds(bounds []Bound) {
	if l.Doubt != nil {
		l.Missing = append(l.Missing, Missing{"height_fade", Both, l.View, *info(NoteInDoubt)})
		return
	}
	l.Bounds = bounds
	v, sd := fade(l.Bounds)
	if math.IsNaN(v) {
		l.Missing = append(l.Missing, Missing{"height_fade", Both, l.View, *info(WhyFewJumps)})
		return
	}
	l.Measures = append(l.Measures, Measure{Name: "height_fade", Side: Both, Value: v, SD: sd, Unit: unitPart, View: l.View, TimeS: l.Bounds[0].ContactS})
}

// Why measures of this file may be missing.
const (
	WhyPushUnseen   Code = "push_unseen"
	WhySquatNotHeld Code = "squat_not_held"
	WhyFewJumps     Code = "few_jumps"
)
