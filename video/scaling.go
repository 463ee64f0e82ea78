package video

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
)

// scaling is how a picture is cut from a frame: at a corner, then scaled.
type scaling struct {
	corner image.Point
	k      float64
}

// at is the pixel of the picture on which a point of the frame is drawn.
func (s scaling) at(p kinematics.Point) image.Point {
	return image.Pt(int(math.Round((p.X-float64(s.corner.X))*s.k)), int(math.Round((p.Y-float64(s.corner.Y))*s.k)))
}

// small and whole turn places in the frame to the picture and back. Both have their origin
// at the centre of the top-left pixel.
func (s scaling) small(v r2.Vec) r2.Vec {
	return r2.Vec{X: (v.X-float64(s.corner.X)+0.5)*s.k - 0.5, Y: (v.Y-float64(s.corner.Y)+0.5)*s.k - 0.5}
}

func (s scaling) whole(v r2.Vec) r2.Vec {
	return r2.Vec{X: (v.X+0.5)/s.k - 0.5 + float64(s.corner.X), Y: (v.Y+0.5)/s.k - 0.5 + float64(s.corner.Y)}
}
