package video

import (
	"math"
	"slices"
)

// vec is a place or a step in pixels.
type vec struct{ X, Y float64 }

func (a vec) add(b vec) vec       { return vec{a.X + b.X, a.Y + b.Y} }
func (a vec) sub(b vec) vec       { return vec{a.X - b.X, a.Y - b.Y} }
func (a vec) scale(k float64) vec { return vec{k * a.X, k * a.Y} }
func (a vec) len() float64        { return math.Hypot(a.X, a.Y) }
func (a vec) dot(b vec) float64   { return a.X*b.X + a.Y*b.Y }

// toLine is the distance of a point from the line between a and b.
func (p vec) toLine(a, b vec) float64 {
	ab := b.sub(a)
	t := 0.0
	if l := ab.dot(ab); l > 0 {
		t = min(max(p.sub(a).dot(ab)/l, 0), 1)
	}
	return p.sub(a.add(ab.scale(t))).len()
}

// step is how far one landmark moved from a frame to the next, with the
// standard deviation of each axis. OK is false where the flow failed its
// checks: the landmark was lost there.
type step struct {
	D  vec
	SD float64
	OK bool
}

// way is how far the landmark went, and the variance of each axis: lostVar where it was lost,
// for such a step carries no position.
func (s step) way(lostVar float64) (d vec, variance float64) {
	if !s.OK {
		return vec{}, lostVar
	}
	return s.D, s.SD * s.SD
}

// middle is the median of v.
func middle(v []float64) float64 {
	ones := make([]float64, len(v))
	for i := range ones {
		ones[i] = 1
	}
	return weightedMedian(v, ones)
}

// weightedMedian returns the value at which half of the weight is reached.
func weightedMedian(v, w []float64) float64 {
	order := make([]int, len(v))
	var total float64
	for i := range order {
		order[i] = i
		total += w[i]
	}
	slices.SortFunc(order, func(i, j int) int {
		switch {
		case v[i] < v[j]:
			return -1
		case v[i] > v[j]:
			return 1
		}
		return 0
	})
	var sum float64
	for _, i := range order {
		if sum += w[i]; sum >= total/2 {
			return v[i]
		}
	}
	return v[order[len(order)-1]]
}
