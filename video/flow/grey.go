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
type Grey struct {
	mat     gocv.Mat
	pyramid pyramid // once points were followed from it or to it
}

// NewGrey is an area of a clip's picture, shrunk by a whole number.
func NewGrey(p clip.Picture, area image.Rectangle, shrink int) *Grey {
	return &Grey{mat: mat.Grey(p, area, shrink)}
}

// Clone is a copy.
func (g *Grey) Clone() Picture { return &Grey{mat: g.mat.Clone()} }

// Close lets go of the picture.
func (g *Grey) Close() {
	g.mat.Close()
	g.pyramid.close()
}

// built is the pyramid of the picture; ok is false where OpenCV has to follow points.
func (g *Grey) built() (p pyramid, ok bool) {
	if g.pyramid.c != nil || !ownLucasKanade {
		return g.pyramid, ownLucasKanade
	}
	v, err := g.mat.DataPtrUint8()
	if err != nil {
		return pyramid{}, false
	}
	g.pyramid, ok = newPyramid(v, g.mat.Cols(), g.mat.Rows())
	return g.pyramid, ok
}

// Fit makes the picture as small and as light as the others of its clip, and tells how light it was.
func (g *Grey) Fit(f *mat.Fit) (light float64) {
	f.Apply(&g.mat)
	return g.mat.Mean().Val1 / f.Gain
}

// stop is when Lucas–Kanade has found a point on one level.
var stop = gocv.NewTermCriteria(gocv.Count|gocv.EPS, 15, 0.02)

// Follow runs one pass of pyramidal Lucas–Kanade: our own, or OpenCV's. The texture of a point is the
// smaller eigenvalue of the gradient matrix over the window's pixels.
// https://docs.opencv.org/4.6.0/dc/d6b/group__video__track.html
func (g *Grey) Follow(next Picture, from, seed []r2.Vec, window, levels int) (to []r2.Vec, ok []bool, texture []float64) {
	other := next.(*Grey)
	if p, ok := g.built(); ok && len(from) > 0 && window <= widestWindow {
		if q, ok := other.built(); ok {
			return p.follow(q, from, seed, window, levels)
		}
	}
	return followCV(g.mat, other.mat, from, seed, window, levels)
}

func followCV(a, b gocv.Mat, from, seed []r2.Vec, window, levels int) (to []r2.Vec, ok []bool, texture []float64) {
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
		ok[i] = st[i] == 1 && inside(to[i], b.Cols(), b.Rows())
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
