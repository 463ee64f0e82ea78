package flow

import (
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// reach is how far around a landmark the grid goes, and sigma how fast the
// weight of a point falls with its distance, as shares of the body height. From
// the front the hips take in the trunk, so that a hand passing before one does
// not carry it off.
func (f Flow) reach(p kinematics.Part) (reach, sigma float64) {
	switch {
	case p == kinematics.Hip && !f.side:
		return 0.13, 0.08
	case p == kinematics.Ankle:
		return 0.055, 0.0275
	case p == kinematics.Heel || p == kinematics.Toe:
		return 0.035, 0.0175
	}
	return 0.075, 0.0375
}

// joined names the landmarks whose motion a landmark shares. From the front a hip
// goes with the trunk and the other hip rather than with the thigh, which turns
// about it; an ankle goes with the foot rather than with the shank.
func (f Flow) joined(l kinematics.Landmark) []kinematics.Landmark {
	s := l.Side()
	switch l.Part() {
	case kinematics.Shoulder:
		return []kinematics.Landmark{kinematics.On(s, kinematics.Hip)}
	case kinematics.Hip:
		if f.side {
			return []kinematics.Landmark{kinematics.On(s, kinematics.Shoulder), kinematics.On(s, kinematics.Knee)}
		}
		return []kinematics.Landmark{kinematics.On(s, kinematics.Shoulder), kinematics.On(s, kinematics.Knee), kinematics.On(s.Other(), kinematics.Hip)}
	case kinematics.Knee:
		return []kinematics.Landmark{kinematics.On(s, kinematics.Hip), kinematics.On(s, kinematics.Ankle)}
	case kinematics.Ankle:
		return []kinematics.Landmark{kinematics.On(s, kinematics.Heel), kinematics.On(s, kinematics.Toe)}
	case kinematics.Heel:
		return []kinematics.Landmark{kinematics.On(s, kinematics.Toe), kinematics.On(s, kinematics.Ankle)}
	}
	return []kinematics.Landmark{kinematics.On(s, kinematics.Heel)}
}

// limbHalf is how far from the bones the grid goes, as a share of the body
// height: half a thigh, or half a shoe. About the ankle it leaves out the shank,
// which sways while the foot stands.
func limbHalf(p kinematics.Part) float64 {
	switch p {
	case kinematics.Ankle, kinematics.Heel, kinematics.Toe:
		return 0.022
	}
	return 0.042
}

const gridHalf = 4 // points from the middle of the grid to its edge

// grid returns the points that are followed for a landmark: those within reach
// and on one of its limbs.
func (f Flow) grid(m Mover) []r2.Vec {
	share, _ := f.reach(m.Mark.Part())
	r, half := share*f.body, limbHalf(m.Mark.Part())*f.body
	var out []r2.Vec
	for iy := -gridHalf; iy <= gridHalf; iy++ {
		for ix := -gridHalf; ix <= gridHalf; ix++ {
			q := r2.Add(m.At, r2.Scale(r/gridHalf, r2.Vec{X: float64(ix), Y: float64(iy)}))
			away := r2.Norm(r2.Sub(q, m.At))
			near := away < half/2 || len(m.limbs) == 0
			for _, l := range m.limbs {
				near = near || plane.ToLine(q, m.At, l) < half
			}
			if near && away <= r {
				out = append(out, q)
			}
		}
	}
	return out
}
