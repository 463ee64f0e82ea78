package track

import (
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// scene is what all people of a clip share: its frames so far, and where their small pictures lie.
type scene struct {
	width, height int       // of a frame, px
	to            plane.Cut // from the frame to the small picture
	frames        []int
	times         []float64
}

// add goes on to the next frame and returns its index, which is its number where none is left out.
func (s *scene) add(f Frame) int {
	s.frames, s.times = append(s.frames, f.Number), append(s.times, f.TimeS)
	return len(s.frames) - 1
}

// gap is the time between frame n and the one before it, s.
func (s *scene) gap(n int) float64 { return s.times[n] - s.times[n-1] }

// inside reports whether a position lies in the frame.
func (s *scene) inside(v r2.Vec) bool {
	return v.X >= 0 && v.Y >= 0 && v.X <= float64(s.width-1) && v.Y <= float64(s.height-1)
}

// small is a placed point in the small picture.
func (s *scene) small(p kinematics.Point) fix {
	return fix{s.to.ToPicture(r2.Vec{X: p.X, Y: p.Y}), p.SD * s.to.K}
}
