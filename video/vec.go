package video

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// toLine is the distance of p from the line between a and b.
func toLine(p, a, b r2.Vec) float64 {
	ab := r2.Sub(b, a)
	t := 0.0
	if l := r2.Dot(ab, ab); l > 0 {
		t = min(max(r2.Dot(r2.Sub(p, a), ab)/l, 0), 1)
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, ab))))
}

// step is how far one landmark moved from a frame to the next, with the
// standard deviation of each axis. OK is false where the flow failed its
// checks: the landmark was lost there.
type step struct {
	D  r2.Vec
	SD float64
	OK bool
}

// way is how far the landmark went, and the variance of each axis: lostVar where it was lost,
// for such a step carries no position.
func (s step) way(lostVar float64) (d r2.Vec, variance float64) {
	if !s.OK {
		return r2.Vec{}, lostVar
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
