package kinematics

import "math"

// Bound is one contact of a set of jumps and the jump from it. Times in s, each with one
// standard deviation.
type Bound struct {
	ContactS, TakeoffS, LandingS float64
	ContactTime, ContactTimeSD   float64
	FlightTime, FlightTimeSD     float64
}

// HeightCM is the height of the bound in cm from its flight time, g·T²/8, and its standard
// deviation, g·T/4 for each second of T.
func (b Bound) HeightCM() (cm, sd float64) {
	return 100 * FlightHeightM(b.FlightTime), 100 * Gravity * b.FlightTime / 4 * b.FlightTimeSD
}

// Reactive is the reactive strength index of the bound, height in m over contact time in s (Flanagan
// and Comyns 2008, Strength Cond J 30:32, from memory), and its standard deviation, the relative ones of
// both added in squares. It is infinite or NaN for a contact of no time.
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

// setMeasures are told of a whole set of jumps.
var setMeasures = []definition{
	{About: About{
		Name: "height_fade", Unit: unitPart, Sides: WholeBody, Words: "height lost from the first third of the jumps to the last",
		Definition: "1 less the mean height of the last third of the jumps over that of the first",
		Sign:       "positive is height lost", Source: common,
	}},
}

// Why measures of this file may be missing.
const (
	WhyFewJumps Code = "few_jumps"
)
