package kinematics

import "math"

// Lengths as fractions of stature (Drillis and Contini 1966, in Winter 2009,
// fig. 4.1).
const (
	shoulderHeight = 0.818
	hipHeight      = 0.530
	ankleHeight    = 0.039
	shankLength    = 0.246
	footLength     = 0.152
)

// Segment masses and centres, fractions (Dempster via Winter 2009, table 4.1);
// with one leg used twice in a side view the weights still sum to 1.
const (
	hatMass, hatCentre     = 0.678, 0.626 // from the hip towards the shoulder
	thighMass, thighCentre = 0.100, 0.433 // from the hip towards the knee
	shankMass, shankCentre = 0.0465, 0.433
	footMass               = 0.0145
)

// centreOfMass is the proxy of the body's centre from the six parts: head, arms
// and trunk from hip and shoulder, and the legs. The arms must hang; arms
// overhead raise the true centre by several centimetres. NaN where a part of it
// is not seen.
func (m *motion) centreOfMass(from map[Landmark]path) path {
	s, h := m.middle(from, Shoulder), m.middle(from, Hip)
	k, a := m.middle(from, Knee), m.middle(from, Ankle)
	heel, toe := m.middle(from, Heel), m.middle(from, Toe)
	out := path{make([]float64, m.n), make([]float64, m.n)}
	for i := range m.n {
		out.x[i], out.y[i] = math.NaN(), math.NaN()
		if s.x == nil || h.x == nil || k.x == nil || a.x == nil {
			continue
		}
		foot := a.at(i)
		if heel.x != nil && toe.x != nil {
			foot = heel.at(i).plus(toe.at(i)).times(0.5)
		}
		c := weigh(s.at(i), h.at(i), k.at(i), a.at(i), foot)
		out.x[i], out.y[i] = c.x, c.y
	}
	return out
}

// weigh is the mass-centre proxy of one posture.
func weigh(shoulder, hip, knee, ankle, foot pt) pt {
	along := func(a, b pt, f float64) pt { return a.plus(b.minus(a).times(f)) }
	c := along(hip, shoulder, hatCentre).times(hatMass)
	c = c.plus(along(hip, knee, thighCentre).times(2 * thighMass))
	c = c.plus(along(knee, ankle, shankCentre).times(2 * shankMass))
	return c.plus(foot.times(2 * footMass))
}
