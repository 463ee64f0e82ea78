package kinematics

import (
	"math"
	"slices"
)

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

// lifted are the feet that are seen above the landing foot by liftedShare shortly after
// contact.
func (s *analysis) lifted() []Side {
	floor := math.Inf(-1)
	height := map[Side]float64{}
	for _, side := range []Side{Left, Right} {
		for _, part := range footParts {
			p, ok := s.pos[On(side, part)]
			if !ok {
				continue
			}
			if y := valueAt(p.y, s.place(s.when.from()+0.1)); !math.IsNaN(y) {
				floor = math.Max(floor, y)
				if !(height[side] >= y) {
					height[side] = y
				}
			}
		}
	}
	var out []Side
	for _, side := range []Side{Left, Right} {
		if y, ok := height[side]; ok && floor-y > liftedShare*s.body {
			out = append(out, side)
		}
	}
	return out
}

// legs are the sides whose leg landed, or may have: from the front, of which both are seen,
// those that are not seen in the air.
func (s *analysis) legs() []Side {
	var out []Side
	for _, side := range []Side{Left, Right} {
		_, landed := s.when.contact[side]
		if landed || s.view == Front && !slices.Contains(s.inAir, side) {
			out = append(out, side)
		}
	}
	if len(s.when.contact) == 0 { // a snap-down without contact
		return []Side{Left, Right}
	}
	return out
}
