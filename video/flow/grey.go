//go:build cgo

package flow

import (
	"image"

	"gocv.io/x/gocv"
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/clip"
	"steadfall/video/mat"
)

// Grey is a Picture of OpenCV's.
type Grey struct{ mat gocv.Mat }

// NewGrey is an area of a clip's picture, shrunk by a whole number.
func NewGrey(p clip.Picture, area image.Rectangle, shrink int) *Grey {
	return &Grey{mat.Grey(p, area, shrink)}
}

// Clone is a copy.
func (g *Grey) Clone() Picture { return &Grey{g.mat.Clone()} }

// Close lets go of the picture.
func (g *Grey) Close() { g.mat.Close() }

// Fit makes the picture as small and as light as the others of its clip, and tells how light it was.
func (g *Grey) Fit(f *mat.Fit) (light float64) {
	f.Apply(&g.mat)
	return g.mat.Mean().Val1 / f.Gain
}

// stop is when Lucas–Kanade has found a point on one level.
var stop = gocv.NewTermCriteria(gocv.Count|gocv.EPS, 15, 0.02)

// Follow runs one pass of OpenCV's pyramidal Lucas–Kanade. The texture of a point is the
// smaller eigenvalue of the gradient matrix over the window's pixels.
// https://docs.opencv.org/4.6.0/dc/d6b/group__video__track.html
func (g *Grey) Follow(next Picture, from, seed []r2.Vec, window, levels int) (to []r2.Vec, ok []bool, texture []float64) {
	a, b := g.mat, next.(*Grey).mat
	pa, pb := pointMat(from), pointMat(seed)
	defer pa.Close()
	defer pb.Close()
	status, errs := gocv.NewMat(), gocv.NewMat()
	defer status.Close()
	defer errs.Close()
	const useInitialFlow, getMinEigenvals = 4, 8 // cv::OPTFLOW_...
	gocv.CalcOpticalFlowPyrLKWithParams(a, b, pa, pb, &status, &errs, image.Pt(window, window), levels, stop, useInitialFlow|getMinEigenvals, minTexture)
	to, ok, texture = make([]r2.Vec, len(from)), make([]bool, len(from)), make([]float64, len(from))
	xy, errXY := pb.DataPtrFloat32()
	st, errST := status.DataPtrUint8()
	tx, errTX := errs.DataPtrFloat32()
	if errXY != nil || errST != nil || errTX != nil {
		return to, ok, texture // no flow: every point is lost
	}
	for i := range from {
		to[i] = r2.Vec{X: float64(xy[2*i]), Y: float64(xy[2*i+1])}
		ok[i] = st[i] == 1 &&
			to[i].X >= 0 && to[i].Y >= 0 && to[i].X <= float64(b.Cols()-1) && to[i].Y <= float64(b.Rows()-1)
		texture[i] = float64(tx[i])
	}
	return to, ok, texture
}

// minTexture is the least texture a followed point must have. Below it the
// window is flat and its flow is chance.
const minTexture = 1e-4

func pointMat(ps []r2.Vec) gocv.Mat {
	m := gocv.NewMatWithSize(len(ps), 1, gocv.MatTypeCV32FC2)
	xy, err := m.DataPtrFloat32()
	if err != nil {
		return m
	}
	for i, p := range ps {
		xy[2*i], xy[2*i+1] = float32(p.X), float32(p.Y)
	}
	return m
}
