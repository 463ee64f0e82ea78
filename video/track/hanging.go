package track

import (
	"math"

	"steadfall/kinematics"
)

// pointed is the sd of heel and ankle, as shares of the body height, that a foot in the air
// adds from the side: it hangs, and the net and what follows it put the heel up to 5 % too
// low. fastFoot is the speed, in body heights a second, of a foot that surely is in the
// air.
var pointed = map[kinematics.Part]float64{kinematics.Heel: 0.035, kinematics.Ankle: 0.010}

const fastFoot = 0.5

// inTheAir tells for each frame how sure it is that the foot of a side is in the air,
// from 0 to 1, by the speed at which its ankle goes up or down.
func inTheAir(ankle []kinematics.Point, times []float64, body float64) []float64 {
	out := make([]float64, len(ankle))
	for i := range out {
		a, b := max(i-1, 0), min(i+1, len(ankle)-1)
		if ankle[a].Seen() && ankle[b].Seen() && times[b] > times[a] {
			out[i] = math.Min(math.Abs(ankle[b].Y-ankle[a].Y)/(times[b]-times[a])/body/fastFoot, 1)
		}
	}
	return out
}

// doubtHanging widens the standard deviations of the parts of feet in the air of a side view that no
// person placed.
func doubtHanging(t kinematics.Track, bodyPx float64) {
	if !t.View.IsSide() {
		return
	}
	for _, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		air := inTheAir(t.Points[kinematics.On(side, kinematics.Ankle)], t.TimeS, bodyPx)
		for part, sd := range pointed {
			ps := t.Points[kinematics.On(side, part)]
			for i := range ps {
				if ps[i].Seen() && ps[i].Source != kinematics.Placed {
					ps[i].SD = math.Hypot(ps[i].SD, sd*bodyPx*air[i])
				}
			}
		}
	}
}
