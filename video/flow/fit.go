package flow

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/plane"
)

// similarity fits the step of a landmark to the steps of the points around it:
// d(q) = t + a·q + b·q⊥ with q from the landmark, by iteratively re-weighted
// least squares with Tukey's weights (Huber and Ronchetti 2009, Robust
// Statistics, §7.8), nearer and better textured points weighing more.
type similarity struct {
	sigma float64 // of the weight by distance, px
	q, d  []r2.Vec
	w     []float64
}

func newFit(sigma float64) *similarity { return &similarity{sigma: sigma} }

func (s *similarity) add(q, d r2.Vec, texture float64) {
	r := r2.Norm(q) / s.sigma
	s.q, s.d = append(s.q, q), append(s.d, d)
	s.w = append(s.w, math.Exp(-r*r/2)*texture/(texture+halfTexture))
}

// halfTexture is the texture at which a point has half its weight.
const halfTexture = 3e-4

// needPoints is the least number of points a landmark moves with.
const needPoints = 5

// solve returns the step and how well it is known from the spread of the points
// about the fit; ok is false when too few points agree.
func (s *similarity) solve() (t r2.Vec, sd float64, ok bool) {
	if len(s.q) < needPoints {
		return r2.Vec{}, 0, false
	}
	xs, ys := make([]float64, len(s.d)), make([]float64, len(s.d))
	for i, d := range s.d {
		xs[i], ys[i] = d.X, d.Y
	}
	t = r2.Vec{X: plane.WeightedMedian(xs, s.w), Y: plane.WeightedMedian(ys, s.w)}
	a, b := 0.0, 0.0
	res := make([]float64, len(s.q))
	w := make([]float64, len(s.q))
	var scale, sum, sum2 float64
	for range 6 {
		for i, q := range s.q {
			m := r2.Vec{X: t.X + a*q.X - b*q.Y, Y: t.Y + a*q.Y + b*q.X}
			res[i] = r2.Norm(r2.Sub(s.d[i], m))
		}
		// 1.48 turns a median absolute deviation into a standard deviation; a
		// tenth of a pixel is what Lucas–Kanade repeats to.
		scale = max(1.48*plane.WeightedMedian(res, s.w), 0.1)
		sum, sum2 = 0, 0
		for i := range w {
			u := res[i] / (4.685 * scale)
			w[i] = 0
			if u < 1 {
				w[i] = s.w[i] * (1 - u*u) * (1 - u*u)
			}
			sum += w[i]
			sum2 += w[i] * w[i]
		}
		if sum == 0 {
			return r2.Vec{}, 0, false
		}
		t, a, b = fitSimilarity(s.q, s.d, w, sum)
	}
	n := sum * sum / sum2 // effective number of points
	// Neighbouring windows overlap, so the points count as a sixth as many.
	return t, scale / math.Sqrt(n/6), n >= needPoints-1
}

// fitSimilarity solves the weighted normal equations in closed form. The
// rotation and growth of one frame are damped towards none, so that a handful
// of points cannot turn the limb.
func fitSimilarity(q, d []r2.Vec, w []float64, sum float64) (t r2.Vec, a, b float64) {
	var mq, md r2.Vec
	for i := range q {
		mq, md = r2.Add(mq, r2.Scale(w[i]/sum, q[i])), r2.Add(md, r2.Scale(w[i]/sum, d[i]))
	}
	var sa, sb, ss float64
	for i := range q {
		x, y := r2.Sub(q[i], mq), r2.Sub(d[i], md)
		sa += w[i] * r2.Dot(x, y)
		sb += w[i] * r2.Cross(x, y)
		ss += w[i] * r2.Dot(x, x)
	}
	const damp = 30 // px² a point
	ss += damp * sum
	a, b = sa/ss, sb/ss
	return r2.Vec{X: md.X - a*mq.X + b*mq.Y, Y: md.Y - a*mq.Y - b*mq.X}, a, b
}
