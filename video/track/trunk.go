package track

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// slidesShare is how much of what the trunk seems to lengthen or shorten by is taken for the
// net's error at the hip: from the side the shoulder keeps its place on the body to half a
// percent of the height while the hip slides by up to 1.4 % (docs/numbers.md, "The hip from the side").
const slidesShare = 0.8

// onTrunk is the net's points of a hip in a side view, straightened, moved along the trunk
// towards the length that the trunk has over the clip: from shoulder to hip it hardly
// shortens in a landing.
func (b *body) onTrunk(hip kinematics.Landmark, view kinematics.View, net map[int]r2.Vec, bends map[int]float64, tall float64) map[int]r2.Vec {
	tops := b.erringAs(hip, kinematics.On(hip.Side(), kinematics.Shoulder), view, bends, tall) // what lies between is the trunk
	return evenTrunk(net, tops, bends)
}

// evenTrunk moves hips along the trunk towards its usual length: the middle between its
// median lengths standing and deep, so that a long stand counts no more than a short one.
func evenTrunk(hips, shoulders map[int]r2.Vec, bends map[int]float64) map[int]r2.Vec {
	most := deepest(bends)
	var straight, bent []float64
	for n, h := range hips {
		s, ok := shoulders[n]
		switch {
		case !ok:
		case bends[n] < most/3:
			straight = append(straight, r2.Norm(r2.Sub(h, s)))
		case bends[n] > most*2/3:
			bent = append(bent, r2.Norm(r2.Sub(h, s)))
		}
	}
	if len(straight) == 0 || len(bent) == 0 {
		return hips
	}
	usual := (plane.Median(straight) + plane.Median(bent)) / 2
	out := make(map[int]r2.Vec, len(hips))
	for n, h := range hips {
		out[n] = h
		if s, ok := shoulders[n]; ok && h != s {
			d := r2.Sub(h, s)
			change := usual/r2.Norm(d) - 1
			out[n] = r2.Add(h, r2.Scale(slidesShare*change*believed(change, slidesMost), d))
		}
	}
	return out
}

// slidesMost is the most a trunk seems to lengthen or shorten by as the hip slides along it: a
// longer way off, a shoulder was misplaced or the person came nearer.
const slidesMost = 0.1

// believed is how much of a change is taken for the net's error: all of it up to the most that
// the error comes to, nothing from double that on.
func believed(change, most float64) float64 {
	return math.Min(math.Max(2-math.Abs(change)/most, 0), 1)
}
