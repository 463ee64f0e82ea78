//go:build cgo

package flow

import (
	"image"
	"math"

	"gocv.io/x/gocv"

	"steadfall/video/clip"
	"steadfall/video/mat"
)

// Survey gathers, frame by frame, how light, sharp and still the pictures of a clip are and where
// they move.
type Survey struct {
	Frames int             // whole ones
	Light  []float64       // mean grey, of 255
	Sharp  []float64       // standard deviation of the second derivative of grey
	Shake  []float64       // shift of the whole picture, px of the frame
	Area   image.Rectangle // of the frame: all but what the shrinking leaves over
	Shrink int             // by how much pictures are to be shrunk

	before, diff gocv.Mat
	moves        image.Rectangle // px of the small pictures
}

// surveyWidth is about the width in pixels at which the picture is looked at, and SurveyBlock about
// a fiftieth of a person there.
const (
	surveyWidth = 270
	SurveyBlock = 4
)

// NewSurvey is for pictures of that size.
func NewSurvey(width, height int) *Survey {
	k := max(1, (width+surveyWidth/2)/surveyWidth)
	return &Survey{before: gocv.NewMat(), diff: gocv.NewMat(), Area: mat.Divisible(width, height, k), Shrink: k}
}

// Close lets go of the last picture.
func (s *Survey) Close() {
	s.before.Close()
	s.diff.Close()
}

// Moves is the box of what moves, px of the frame.
func (s *Survey) Moves() image.Rectangle {
	return image.Rectangle{Min: s.moves.Min.Mul(s.Shrink), Max: s.moves.Max.Mul(s.Shrink)}
}

// every frames one is looked at.
const every = 3

// Next takes the next whole picture and its small grey one, which it may change.
func (s *Survey) Next(p clip.Picture, g *Grey) {
	s.Frames++
	if s.Frames%every != 1 {
		return
	}
	if s.Frames%(5*every) == 1 {
		s.measure(mat.Grey(p, s.Area, 1))
	}
	small := g.mat
	gocv.GaussianBlur(small, &small, image.Pt(5, 5), 0, 0, gocv.BorderReplicate)
	if !s.before.Empty() {
		s.motion(small)
	}
	small.CopyTo(&s.before)
}

// measure notes how sharp and light a picture of the full size is, and closes it.
func (s *Survey) measure(grey gocv.Mat) {
	defer grey.Close()
	lap, mean, sd := gocv.NewMat(), gocv.NewMat(), gocv.NewMat()
	defer mat.CloseAll([]gocv.Mat{lap, mean, sd})
	gocv.Laplacian(grey, &lap, gocv.MatTypeCV64F, 1, 1, 0, gocv.BorderDefault)
	gocv.MeanStdDev(lap, &mean, &sd)
	s.Sharp = append(s.Sharp, sd.GetDoubleAt(0, 0))
	s.Light = append(s.Light, grey.Mean().Val1)
}

// motion notes the shift of the whole picture and the box of what moves in it.
func (s *Survey) motion(small gocv.Mat) {
	a, b, window := gocv.NewMat(), gocv.NewMat(), gocv.NewMat()
	defer mat.CloseAll([]gocv.Mat{a, b, window})
	s.before.ConvertTo(&a, gocv.MatTypeCV32F)
	small.ConvertTo(&b, gocv.MatTypeCV32F)
	shift, _ := gocv.PhaseCorrelate(a, b, window)
	s.Shake = append(s.Shake, math.Hypot(float64(shift.X), float64(shift.Y))*float64(s.Shrink))
	gocv.AbsDiff(s.before, small, &s.diff)
	gocv.Threshold(s.diff, &s.diff, 12, 255, gocv.ThresholdBinary)
	contours := gocv.FindContours(s.diff, gocv.RetrievalExternal, gocv.ChainApproxSimple)
	defer contours.Close()
	for i := range contours.Size() {
		c := contours.At(i)
		if gocv.ContourArea(c) > 40 { // smaller specks are compression noise
			s.moves = s.moves.Union(gocv.BoundingRect(c))
		}
	}
}
