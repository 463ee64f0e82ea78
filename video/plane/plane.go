// Package plane is the geometry that the rooms of video share: where a small picture lies in its
// frame, how far a point is from a bone, and medians of such numbers. Positions and ways are gonum's
// r2.Vec, in pixels.
package plane

import (
	"image"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
)

// Cut is how a picture is cut from a frame: at a corner, then scaled.
type Cut struct {
	Corner image.Point
	K      float64
}

// Pixel is the pixel of the picture on which a point of the frame is drawn.
func (c Cut) Pixel(p kinematics.Point) image.Point {
	return image.Pt(int(math.Round((p.X-float64(c.Corner.X))*c.K)), int(math.Round((p.Y-float64(c.Corner.Y))*c.K)))
}

// ToPicture and ToFrame turn a position in the frame into one in the picture and back. Both have
// their origin at the centre of the top-left pixel.
func (c Cut) ToPicture(v r2.Vec) r2.Vec {
	return r2.Vec{X: (v.X-float64(c.Corner.X)+0.5)*c.K - 0.5, Y: (v.Y-float64(c.Corner.Y)+0.5)*c.K - 0.5}
}

func (c Cut) ToFrame(v r2.Vec) r2.Vec {
	return r2.Vec{X: (v.X+0.5)/c.K - 0.5 + float64(c.Corner.X), Y: (v.Y+0.5)/c.K - 0.5 + float64(c.Corner.Y)}
}

// ToLine is the distance of p from the line between a and b.
func ToLine(p, a, b r2.Vec) float64 {
	ab := r2.Sub(b, a)
	t := 0.0
	if l := r2.Dot(ab, ab); l > 0 {
		t = min(max(r2.Dot(r2.Sub(p, a), ab)/l, 0), 1)
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, ab))))
}

// Median is the lower one of v's middle values.
func Median(v []float64) float64 {
	ones := make([]float64, len(v))
	for i := range ones {
		ones[i] = 1
	}
	return WeightedMedian(v, ones)
}

// WeightedMedian returns the value at which half of the weight is reached.
func WeightedMedian(v, w []float64) float64 {
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
