package kinematics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"
)

// grid is the uniform time base of a motion: sample i is at T0 + i/FS seconds.
type grid struct {
	t0, fs float64
	n      int
}

func (g grid) time(i int) float64 { return g.t0 + float64(i)/g.fs }

// position is the fractional sample number of a time.
func (g grid) position(t float64) float64 { return (t - g.t0) * g.fs }

// near is the sample nearest a time, held inside the grid.
func (g grid) near(t float64) int {
	return min(max(int(math.Round(g.position(t))), 0), g.n-1)
}

// span is the samples from time a to time b, both included, inside the grid.
func (g grid) span(a, b float64) (from, to int) {
	from = max(int(math.Ceil(g.position(a)-1e-9)), 0)
	to = min(int(math.Floor(g.position(b)+1e-9)), g.n-1)
	return from, to
}

// maxBridgeS is the longest gap, in seconds, that is bridged; a longer one
// stays a gap.
const maxBridgeS = 0.1

// resample puts samples v at times t onto the grid by Akima's piecewise cubic
// (1970, J ACM 17:589), which does not overshoot at the corner of a contact.
// NaN in v is a gap. Outside the first and last sample, and inside gaps longer
// than maxBridgeS, the result is NaN.
func resample(t, v []float64, g grid) []float64 {
	out := unseenAll(g.n)
	var xs, ys []float64
	flush := func() {
		if len(xs) >= 2 {
			fillSpan(out, xs, ys, g)
		}
		xs, ys = nil, nil
	}
	for i := range t {
		if math.IsNaN(v[i]) {
			continue
		}
		if len(xs) > 0 && t[i]-xs[len(xs)-1] > maxBridgeS+1e-9 {
			flush()
		}
		xs, ys = append(xs, t[i]), append(ys, v[i])
	}
	flush()
	return out
}

func fillSpan(out, xs, ys []float64, g grid) {
	var p interp.FittablePredictor = new(interp.AkimaSpline)
	if len(xs) < 3 {
		p = new(interp.PiecewiseLinear)
	}
	if err := p.Fit(xs, ys); err != nil {
		return
	}
	from, to := g.span(xs[0], xs[len(xs)-1])
	for i := from; i <= to; i++ {
		out[i] = p.Predict(g.time(i))
	}
}

// runs calls f with every stretch [from, to) of x without NaN.
func runs(x []float64, f func(from, to int)) {
	from := -1
	for i := 0; i <= len(x); i++ {
		missing := i == len(x) || math.IsNaN(x[i])
		switch {
		case !missing && from < 0:
			from = i
		case missing && from >= 0:
			f(from, i)
			from = -1
		}
	}
}

// smooth filters every stretch of x by itself; stretches of under five samples
// are dropped, since a filter says nothing there.
func smooth(x []float64, fc, fs float64) []float64 {
	out := unseenAll(len(x))
	runs(x, func(from, to int) {
		if to-from >= 5 {
			copy(out[from:to], lowPass(x[from:to], fc, fs))
		}
	})
	return out
}

// derivative is the central difference of x per second; NaN next to a gap and
// at the ends.
func derivative(x []float64, fs float64) []float64 {
	out := unseenAll(len(x))
	for i := 1; i < len(x)-1; i++ {
		out[i] = (x[i+1] - x[i-1]) * fs / 2
	}
	return out
}

// valueAt interpolates x linearly at fractional sample p; NaN outside.
func valueAt(x []float64, p float64) float64 {
	i := int(math.Floor(p))
	switch {
	case i < 0 || i >= len(x) || math.IsNaN(p):
		return math.NaN()
	case p == float64(i):
		return x[i]
	case i+1 >= len(x):
		return math.NaN()
	}
	f := p - float64(i)
	return x[i]*(1-f) + x[i+1]*f
}

// seen returns the values of x that are not NaN.
func seen(x []float64) []float64 {
	out := make([]float64, 0, len(x))
	for _, v := range x {
		if !math.IsNaN(v) {
			out = append(out, v)
		}
	}
	return out
}

// quantile returns the q-quantile of the seen values of x; NaN when none is.
func quantile(x []float64, q float64) float64 {
	s := seen(x)
	if len(s) == 0 {
		return math.NaN()
	}
	slices.Sort(s)
	p := q * float64(len(s)-1)
	return valueAt(s, p)
}

func median(x []float64) float64 { return quantile(x, 0.5) }

// mean of the seen values of x; NaN when none is.
func mean(x []float64) float64 {
	var sum, n float64
	for _, v := range x {
		if !math.IsNaN(v) {
			sum += v
			n++
		}
	}
	return sum / n
}

// longest returns the longest stretch of x without NaN.
func longest(x []float64) []float64 {
	var best []float64
	runs(x, func(from, to int) {
		if to-from > len(best) {
			best = x[from:to]
		}
	})
	return best
}

// unseenAll is n samples at none of which something was seen.
func unseenAll(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}

func sq(v float64) float64 { return v * v }

func derivativeTimes(t []float64) []float64 {
	d := make([]float64, len(t)-1)
	for i := range d {
		d[i] = t[i+1] - t[i]
	}
	return d
}
