package pose

import (
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
)

// Error is how the net errs on one landmark, in px of the small picture: by an offset,
// known beforehand only roughly, that changes slowly as the person moves but never strays far,
// and by an error that is fresh on every picture.
type Error struct {
	Offset   r2.Vec  // expected: net minus truth
	OffsetSD float64 // of each axis, at first
	Strays   float64 // standard deviation of each axis that the changes come to in the end
	Fresh    float64 // standard deviation of each axis
	Drift    float64 // variance the offset gains a frame, at first
	Slip     float64 // variance the offset gains for each px of way, at first
}

// Most is the variance of the offset after however long a way.
func (e Error) Most() float64 { return e.OffsetSD*e.OffsetSD + e.Strays*e.Strays }

// typicalError is how the net errs on a part of the body, net minus truth, as shares of
// the body height: what it takes for a joint lies a little off the middle of the joint,
// and moves as the leg bends. across is towards the middle of the body from the front
// and forward from the side. Means over the rendered figures with exact truth, the
// changes with bend shrunk by their own uncertainty (docs/numbers.md, "How sure is a point
// the net placed"); on real people they are not measured.
type typicalError struct {
	across, down         float64 // of a straight leg
	bentAcross, bentDown float64 // change for each unit of bend
	sd                   float64 // between figures, of each axis
}

var frontErrors = map[kinematics.Part]typicalError{
	kinematics.Shoulder: {0.003, -0.009, 0.003, -0.019, 0.003},
	kinematics.Hip:      {0.006, 0.007, -0.027, -0.021, 0.0035},
	kinematics.Knee:     {0.000, 0.005, 0.029, 0.000, 0.005},
	kinematics.Ankle:    {-0.003, -0.016, 0.000, 0.000, 0.006},
	kinematics.Heel:     {-0.005, -0.021, 0.031, 0.000, 0.006},
	kinematics.Toe:      {0.030, -0.020, -0.080, 0.016, 0.007},
}

var sideErrors = map[kinematics.Part]typicalError{
	kinematics.Shoulder: {0.003, -0.011, 0.019, -0.010, 0.003},
	kinematics.Hip:      {0.024, 0.007, -0.017, -0.020, 0.006},
	kinematics.Knee:     {0.000, 0.000, -0.005, 0.000, 0.004},
	kinematics.Ankle:    {0.003, -0.017, 0.024, 0.026, 0.006},
	kinematics.Heel:     {0.019, -0.019, 0.003, 0.000, 0.006},
	kinematics.Toe:      {-0.022, -0.022, -0.039, 0.070, 0.006},
}

// ErrorOf is how the net errs on a landmark of a straight leg, and what each unit of
// bend adds to its offset, as shares of the body height; its drift is that of a second until
// it is scaled.
func ErrorOf(l kinematics.Landmark, view kinematics.View) (e Error, bent r2.Vec) {
	table := frontErrors
	if view.IsSide() {
		table = sideErrors
	}
	t := table[l.Part()]
	e = Error{Offset: r2.Vec{X: t.across, Y: t.down}, OffsetSD: t.sd, Strays: 0.007, Fresh: 0.020, Drift: 1.2e-5, Slip: 0.0003}
	bent = r2.Vec{X: t.bentAcross, Y: t.bentDown}
	switch l.Part() {
	case kinematics.Ankle, kinematics.Heel, kinematics.Toe: // a shoe looks the same from frame to frame
		e.Strays, e.Fresh, e.Slip = 0.005, 0.006, 0.0001
	}
	// The athlete's left is at the right of a front picture.
	if (view == kinematics.Front && l.Side() == kinematics.Left) || view == kinematics.SideLeft {
		e.Offset.X, bent.X = -e.Offset.X, -bent.X
	}
	if near := view.Near(); near != kinematics.Both && l.Side() != near {
		e.OffsetSD *= 1.5
	}
	return e, bent
}

// Scaled turns shares of the body height into px, and what is gained a second into what is
// gained a frame of that length.
func (e Error) Scaled(body, frameS float64) Error {
	e.Offset = r2.Scale(body, e.Offset)
	e.OffsetSD *= body
	e.Strays *= body
	e.Fresh *= body
	e.Drift *= body * body * frameS
	e.Slip *= body
	return e
}
