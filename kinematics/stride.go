package kinematics

import "math"

// Every step of a run ends a short flight, and is no landing to be held. From the side it is told
// by hips that go on: a person who jumps forward may land as fast, but stops. From the front it is
// told by feet that take turns.
const (
	// runSpeed is slower than people run, body heights a second: they change from walking to running at
	// 2.0 m/s (Hreljac 1993, Med Sci Sports Exerc 25:1158, from memory), 1.2 of somebody of 170 cm.
	runSpeed = 1.1
	// goesOnS is for how long after contact, s: who lands and stops has lost most of their speed.
	goesOnS = 0.3
	// turnS is more than running steps are apart, s, and least steps in turn are a run.
	turnS      = 0.6
	leastSteps = 3
)

// withoutStrides leaves out the steps of a run.
func (m *motion) withoutStrides(all []landed, body float64) []landed {
	var out []landed
	for i, l := range all {
		if !m.runsOn(l.first().timeS, body) && turns(all, i) < leastSteps {
			out = append(out, l)
		}
	}
	return out
}

// runsOn reports whether the hips travel across the picture as fast as in a run, before a contact
// and on after it.
func (m *motion) runsOn(contact, body float64) bool {
	if m.view == Front {
		return false
	}
	x := m.middle(m.light, Hip).x
	if x == nil {
		return false
	}
	before := m.travel(x, contact-0.1, contact) / body
	after := m.travel(x, contact+goesOnS-0.1, contact+goesOnS) / body
	if math.IsNaN(after) { // the clip ends
		after = m.travel(x, contact, contact+0.1) / body
	}
	return math.Min(before, after) > runSpeed || math.Max(before, after) < -runSpeed
}

// turns is how many landings around the i-th follow one another on one foot and the other in turn.
func turns(all []landed, i int) int {
	inTurn := func(a, b landed) bool {
		return len(a.feet) == 1 && len(b.feet) == 1 && a.first().side != b.first().side && b.first().timeS-a.first().timeS < turnS
	}
	n := 1
	for k := i; k > 0 && inTurn(all[k-1], all[k]); k-- {
		n++
	}
	for k := i; k+1 < len(all) && inTurn(all[k], all[k+1]); k++ {
		n++
	}
	return n
}

// landings finds every landing of the track in order, on whichever foot: what was asked of the
// athlete does not decide what they did.
func (m *motion) landings(body float64) []landed { return m.withoutStrides(m.footfalls(body), body) }
