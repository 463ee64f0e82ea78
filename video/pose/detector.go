//go:build cgo

package pose

import (
	"image"
	"math"

	"gocv.io/x/gocv"
	"gonum.org/v1/gonum/spatial/r2"
)

// People asks the detector.
func (p *picture) People(part image.Rectangle) []Region {
	picture := p.mat.Region(part)
	defer picture.Close()
	w, h := float64(picture.Cols()), float64(picture.Rows())
	k := detectorSide / math.Max(w, h)
	left, top := (detectorSide-w*k)/2, (detectorSide-h*k)/2
	m := affine(k, 0, left, 0, k, top)
	defer m.Close()
	square := gocv.NewMat()
	defer square.Close()
	gocv.WarpAffine(picture, &square, m, image.Pt(detectorSide, detectorSide))
	blob := gocv.BlobFromImage(square, 1/127.5, image.Pt(detectorSide, detectorSide), gocv.NewScalar(127.5, 127.5, 127.5, 0), true, false)
	defer blob.Close()
	numbers := p.nets.detector.run(blob)
	n := len(detectorCells)
	if len(numbers) < n {
		return nil // not the net that this was written for
	}
	corner := r2.Vec{X: float64(part.Min.X), Y: float64(part.Min.Y)}
	at := func(v r2.Vec) r2.Vec {
		return r2.Add(r2.Vec{X: (v.X*detectorSide - left) / k, Y: (v.Y*detectorSide - top) / k}, corner)
	}
	var found []Region
	for _, g := range merged(guesses(numbers[:n], numbers[n:])) {
		found = append(found, regionOf(at(g.centre), at(g.top)))
	}
	return found
}
