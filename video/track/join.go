package track

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/flow"
)

// joined makes one step of what the forward and the backward chain measured between
// the same two frames. missA and missB say how far astray each chain ended, 1
// being plausible; a chain beyond that weighs less by the square. The two see
// nearly the same texture, so no smaller variance is claimed for the mean, and
// where they differ it grows as that of a mixture.
func joined(a, b flow.Step, missA, missB float64) flow.Step {
	switch {
	case !a.OK:
		return b
	case !b.OK:
		return a
	}
	weight := func(s flow.Step, miss float64) float64 {
		sd := s.SD * math.Max(1, miss*miss)
		return 1 / (sd * sd)
	}
	wa, wb := weight(a, missA), weight(b, missB)
	wa, wb = wa/(wa+wb), wb/(wa+wb)
	d := r2.Add(r2.Scale(wa, a.D), r2.Scale(wb, b.D))
	ea, eb := r2.Sub(a.D, d), r2.Sub(b.D, d)
	v := wa*(a.SD*a.SD+r2.Dot(ea, ea)/2) + wb*(b.SD*b.SD+r2.Dot(eb, eb)/2)
	return flow.Step{D: d, SD: math.Sqrt(v), OK: true}
}
