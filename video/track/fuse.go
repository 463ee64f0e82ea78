package track

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/flow"
)

// A fix is a placed position of one landmark: a measurement with a standard
// deviation, not the truth.
type fix struct {
	at r2.Vec
	sd float64
}

// fuse returns the path that best fits all fixes and all steps of one landmark,
// and the standard deviation of each of its points: the Rauch–Tung–Striebel
// smoother (1965, AIAA J 3:1445) of a random walk whose increments are the
// steps. x and y share their weights, so one pass of variances serves both.
//
// steps.Count() == frames-1, lostVar is the variance of a step that failed, and fixes is by frame.
// The standard deviations of the steps are made honest, in place.
func fuse(frames int, steps *flow.Course, fixes map[int]fix, lostVar float64) (pos []r2.Vec, sd []float64) {
	beHonest(steps, fixes)
	pos = make([]r2.Vec, frames)        // filtered, later smoothed
	variance := make([]float64, frames) // of pos; +Inf before the first fix
	for i := range frames {
		p, v := r2.Vec{}, math.Inf(1)
		if i > 0 {
			d, q := steps.At(i - 1).Way(lostVar)
			p, v = r2.Add(pos[i-1], d), variance[i-1]+q
		}
		if f, ok := fixes[i]; ok {
			gain := 1.0
			if !math.IsInf(v, 1) {
				gain = v / (v + f.sd*f.sd)
			}
			d := r2.Sub(f.at, p)
			p = r2.Add(p, r2.Vec{X: gain * d.X, Y: gain * d.Y})
			v = f.sd * f.sd * gain
		}
		pos[i], variance[i] = p, v
	}
	for i := frames - 2; i >= 0; i-- {
		d, q := steps.At(i).Way(lostVar)
		back := r2.Sub(pos[i+1], d)
		if math.IsInf(variance[i], 1) { // before the first fix: carried back alone
			pos[i], variance[i] = back, variance[i+1]+q
			continue
		}
		ahead := variance[i] + q // what was predicted for the next frame
		gain := variance[i] / ahead
		e := r2.Sub(back, pos[i])
		pos[i] = r2.Add(pos[i], r2.Vec{X: gain * e.X, Y: gain * e.Y})
		variance[i] += gain * gain * (variance[i+1] - ahead)
	}
	sd = variance
	for i, v := range variance {
		sd[i] = math.Sqrt(v)
	}
	return pos, sd
}

// beHonest widens the steps between two fixes when the chain does not close: its
// end misses the second fix by more than the stated variances allow. The factor
// is the one that makes the miss as large as expected (method of moments).
func beHonest(c *flow.Course, fixes map[int]fix) {
	fixed := slices.Sorted(maps.Keys(fixes))
	for k := 1; k < len(fixed); k++ {
		i, j := fixed[k-1], fixed[k]
		a, b := fixes[i], fixes[j]
		end, sum, whole := a.at, 0.0, true
		for n := i; n < j; n++ {
			s := c.At(n)
			end, sum, whole = r2.Add(end, s.D), sum+s.SD*s.SD, whole && s.OK
		}
		miss := r2.Sub(b.at, end)
		grow := (r2.Dot(miss, miss)/2 - a.sd*a.sd - b.sd*b.sd) / sum
		if !whole || !(grow > 1) {
			continue
		}
		for n := i; n < j; n++ {
			s := c.At(n)
			s.SD *= math.Sqrt(grow)
			c.Put(n, s)
		}
	}
}

// join makes one step of what the forward and the backward chain measured between
// the same two frames. missA and missB say how far astray each chain ended, 1
// being plausible; a chain beyond that weighs less by the square. The two see
// nearly the same texture, so no smaller variance is claimed for the mean, and
// where they differ it grows as that of a mixture.
func join(a, b flow.Step, missA, missB float64) flow.Step {
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
