package track

import (
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// flatFoot is how far, as a share of the body height, the heel may seem to have risen or sunk
// beside the toe since the athlete stood before it is doubted that the foot is flat: 1.5 times
// what it seems to on flat feet (RMS).
const flatFoot = 0.015

// onFoot is the net's points of an ankle in a side view, straightened, moved up or down to the
// height over the toe that it has while the athlete stands: a flat foot carries it there on the
// floor as on a box, while the net puts it up to 1 % of the body height lower (docs/numbers.md,
// "The ankle from the side").
func (b *body) onFoot(s scene, ankle kinematics.Landmark, view kinematics.View, net map[int]r2.Vec, bends map[int]float64, tall float64) map[int]r2.Vec {
	resting := func(part kinematics.Part) map[int]r2.Vec {
		l := kinematics.On(ankle.Side(), part)
		out := b.erringAs(ankle, l, view, bends, tall)
		for n := range out {
			if n > 0 && !b.paths[l].rests(n, s.gap(n), tall) {
				delete(out, n)
			}
		}
		return out
	}
	return evenFoot(net, resting(kinematics.Toe), resting(kinematics.Heel), bends, tall)
}

// rests reports whether the flow carried the landmark to frame n, gap seconds after the one before, no
// faster than somebody sways.
func (p *path) rests(n int, gap, tall float64) bool {
	s := p.steps.At(n - 1)
	return s.OK && r2.Norm(s.D) < movingSpeed*tall*gap
}

// evenFoot moves ankles to the height over the toe that they have while the athlete stands
// straight, as far as the heel tells that the foot is flat; those of a foot that does not rest,
// whose toe or heel is not among what is given, stay.
func evenFoot(ankles, toes, heels map[int]r2.Vec, bends map[int]float64, tall float64) map[int]r2.Vec {
	straight := deepest(bends) / 6 // less than a hold, which may be bent by a third of the deepest
	var high, level []float64      // of ankle and heel over the toe
	for n, a := range ankles {
		t, okT := toes[n]
		h, okH := heels[n]
		if okT && okH && bends[n] <= straight {
			high, level = append(high, t.Y-a.Y), append(level, t.Y-h.Y)
		}
	}
	if len(high) == 0 {
		return ankles
	}
	usualHigh, usualLevel := plane.Median(high), plane.Median(level)
	out := make(map[int]r2.Vec, len(ankles))
	for n, a := range ankles {
		t, okT := toes[n]
		h, okH := heels[n]
		if okT && okH {
			flat := believed((t.Y-h.Y-usualLevel)/tall, flatFoot)
			a.Y += flat * (t.Y - a.Y - usualHigh)
		}
		out[n] = a
	}
	return out
}
