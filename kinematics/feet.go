package kinematics

import "slices"

// FootState is what was seen of a foot in a landing.
type FootState string

// The states of a foot. What is neither seen to land nor seen in the air may have done either.
const (
	FootLanded FootState = "landed"
	FootInAir  FootState = "in the air"
	FootUnseen FootState = "not seen"
)

// Foot is what was seen of that side's foot.
func (l Landing) Foot(side Side) FootState {
	switch {
	case slices.Contains(l.Feet, side):
		return FootLanded
	case slices.Contains(l.Lifted, side):
		return FootInAir
	}
	return FootUnseen
}
