package scoring

import (
	"math"

	"steadfall/internal/notes"
	"steadfall/kinematics"
)

// sharedMeasures are seen alike from the front and from the side. Ways and ellipses of
// the hips are not: each view sees one direction of them.
var sharedMeasures = []string{
	"landing_depth", "landing_depth_from_standing", "hold_time", "time_to_still", "flight_time", "jump_height", "hip_rise", "contact_time",
}

// contactOf is the first contact of a landing, s.
func contactOf(l kinematics.Landing) (t, sd float64, ok bool) {
	e, ok := l.Event(kinematics.InitialContact)
	return e.TimeS, e.SDS, ok
}

// aligned tells, for each view, by how much its times must be put back to those of the
// first view, so that both contacts are one: two phones are not started together.
func aligned(ls []kinematics.Landing) []float64 {
	out := make([]float64, len(ls))
	if len(ls) == 0 {
		return out
	}
	zero, _, ok := contactOf(ls[0])
	for i, l := range ls {
		if t, _, seen := contactOf(l); ok && seen {
			out[i] = t - zero
		}
	}
	return out
}

// disagreements compares what both views of a landing see, aligned at contact, and says
// where they differ by more than twice what they are known to.
func disagreements(ls []kinematics.Landing) []kinematics.Note {
	if len(ls) != 2 {
		return nil
	}
	var out []kinematics.Note
	differ := func(what string, a, sdA, b, sdB float64, unit string) {
		if math.Abs(a-b) > 2*math.Hypot(sdA, sdB) {
			out = append(out, notes.New(notes.ViewsDiffer, notes.SameLanding,
				what, a, sdA, unit, viewName(ls[0]), b, sdB, unit, viewName(ls[1])))
		}
	}
	for _, name := range sharedMeasures {
		a, okA := ls[0].Measure(name, kinematics.Both)
		b, okB := ls[1].Measure(name, kinematics.Both)
		if okA && okB && !a.AtLeast && !b.AtLeast {
			about, _ := kinematics.Describe(name)
			differ(about.Words, a.Value, a.SD, b.Value, b.SD, a.Unit)
		}
	}
	low := func(l kinematics.Landing) (ms, sd float64, ok bool) {
		e, okE := l.Event(kinematics.Lowest)
		c, sdC, okC := contactOf(l)
		return 1000 * (e.TimeS - c), 1000 * math.Hypot(lowestSDS, math.Hypot(e.SDS, sdC)), okE && okC
	}
	a, sdA, okA := low(ls[0])
	b, sdB, okB := low(ls[1])
	if okA && okB {
		differ("the time from contact to the deepest point", a, sdA, b, sdB, "ms")
	}
	return out
}

// lowestSDS is how far apart two views may see the deepest point, which is flat, s.
const lowestSDS = 0.05

func viewName(l kinematics.Landing) string {
	if l.View.IsSide() {
		return "from the side"
	}
	return "from the front"
}
