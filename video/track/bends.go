package track

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/pose"
)

// bends is, for each picture the net saw, by how much of their standing height the hips
// have come down over the ankles: 0 for straight legs, 0.2 in a deep landing.
func (b *body) bends() map[int]float64 {
	height := map[int]float64{}
	for n := range b.paths.net(kinematics.On(kinematics.Left, kinematics.Hip)) {
		var tall []float64
		for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
			h, okH := b.paths.net(kinematics.On(s, kinematics.Hip))[n]
			a, okA := b.paths.net(kinematics.On(s, kinematics.Ankle))[n]
			if okH && okA {
				tall = append(tall, a.Y-h.Y)
			}
		}
		if len(tall) > 0 {
			height[n] = slices.Max(tall) // the leg that stands
		}
	}
	var all []float64
	for _, h := range height {
		all = append(all, h)
	}
	slices.Sort(all)
	for n, h := range height {
		height[n] = math.Min(math.Max(1-h/all[len(all)*9/10], 0), 0.5)
	}
	return height
}

// deepest is the largest of the bends, 0 where there is none.
func deepest(bends map[int]float64) float64 {
	most := 0.0
	for _, b := range bends {
		most = max(most, b)
	}
	return most
}

// straightened is the net's points without what the bend of the leg adds to their
// offset; bent is that for a whole unit, px.
func straightened(net map[int]r2.Vec, bends map[int]float64, bent r2.Vec) map[int]r2.Vec {
	out := make(map[int]r2.Vec, len(net))
	for n, at := range net {
		out[n] = r2.Sub(at, r2.Scale(bends[n], bent))
	}
	return out
}

// erringAs is the net's points of a landmark, straightened and moved by what is expected of
// the two, so that they err as another landmark of a straight leg does: what lies between the
// two is then the body's.
func (b *body) erringAs(other, l kinematics.Landmark, view kinematics.View, bends map[int]float64, tall float64) map[int]r2.Vec {
	of, _ := pose.ErrorOf(other, view)
	e, bent := pose.ErrorOf(l, view)
	out := straightened(b.paths.net(l), bends, r2.Scale(tall, bent))
	for n, at := range out {
		out[n] = r2.Sub(at, r2.Scale(tall, r2.Sub(e.Offset, of.Offset)))
	}
	return out
}
