package track

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// limbWidth is half the width of a limb with its cloth, as a share of the body height.
const limbWidth = 0.04

// hideFarLeg takes out of a side view the points of the far side that the near leg or
// the trunk covers: the net puts them somewhere all the same, but nobody saw them.
func hideFarLeg(t kinematics.Track, bodyPx float64) {
	near := t.View.Near()
	if near == kinematics.Both {
		return
	}
	for i := range t.Frame {
		var body []r2.Vec
		for _, part := range kinematics.Parts {
			if q := t.Points[kinematics.On(near, part)][i]; q.Seen() {
				body = append(body, r2.Vec{X: q.X, Y: q.Y})
			}
		}
		for _, part := range kinematics.Parts {
			far := t.Points[kinematics.On(near.Other(), part)]
			if !far[i].Seen() || far[i].Source == kinematics.Placed {
				continue
			}
			at := r2.Vec{X: far[i].X, Y: far[i].Y}
			if slices.ContainsFunc(pairs(body), func(s [2]r2.Vec) bool { return plane.ToLine(at, s[0], s[1]) < limbWidth*bodyPx }) {
				far[i] = kinematics.Unseen()
			}
		}
	}
}

func pairs(ps []r2.Vec) [][2]r2.Vec {
	var out [][2]r2.Vec
	for i := 1; i < len(ps); i++ {
		out = append(out, [2]r2.Vec{ps[i-1], ps[i]})
	}
	return out
}
