package kinematics

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

// weigh is the mass-centre proxy of one posture.
func weigh(shoulder, hip, knee, ankle, foot pt) pt {
	along := func(a, b pt, f float64) pt { return a.plus(b.minus(a).times(f)) }
	c := along(hip, shoulder, hatCentre).times(hatMass)
	c = c.plus(along(hip, knee, thighCentre).times(2 * thighMass))
	c = c.plus(along(knee, ankle, shankCentre).times(2 * shankMass))
	return c.plus(foot.times(2 * footMass))
}

// The statures, in cm, that a scale told from the fall must give to be believed, and the
// one that slow motion is told by.
const (
	leastStatureCM   = 110
	mostStatureCM    = 230
	typicalStatureCM = 170
	typicalStatureSD = 15
)
