//go:build cgo

package mat

import (
	"image"
	"math"

	"gocv.io/x/gocv"
)

// A clip whose first picture has a mean under lit, of 255, is brightened to that, by no more
// than mostGain; to 90 the net puts points no better (docs/numbers.md). The gain stays the same
// through the clip, since the flow takes a change of brightness for motion.
const (
	lit      = 50
	mostGain = 5
)

// Fit makes all pictures of a clip as small and, where it is dark, as light as they are looked at.
type Fit struct {
	Size image.Point
	Gain float64 // 0 until the first picture
}

// Apply changes a picture so.
func (f *Fit) Apply(m *gocv.Mat) {
	if m.Cols() != f.Size.X || m.Rows() != f.Size.Y {
		gocv.Resize(*m, m, f.Size, 0, 0, gocv.InterpolationArea)
	}
	if f.Gain == 0 {
		f.Gain = math.Min(math.Max(lit/math.Max(m.Mean().Val1, 1), 1), mostGain)
	}
	if f.Gain > 1 {
		m.ConvertToWithParams(m, gocv.MatTypeCV8U, float32(f.Gain), 0)
	}
}
