//go:build cgo

package pose

import (
	"fmt"
	"image"
	"image/color"

	"gocv.io/x/gocv"

	"steadfall/video/clip"
	"steadfall/video/mat"
)

// Loaded are nets that are ready to look at pictures.
type Loaded struct{ detector, landmarks runner }

// Load makes the nets ready.
func Load(n Nets) (*Loaded, error) {
	d, err := newRunner(n.Runtime, n.Detector, detectorOutputs)
	if err != nil {
		return nil, fmt.Errorf("the net that finds people cannot be loaded: %w", err)
	}
	l, err := newRunner(n.Runtime, n.Landmarks, n.LandmarkOutputs)
	if err != nil {
		d.close()
		return nil, fmt.Errorf("the net that places points cannot be loaded: %w", err)
	}
	return &Loaded{d, l}, nil
}

// Close lets go of the nets.
func (n *Loaded) Close() {
	n.detector.close()
	n.landmarks.close()
}

// Picture is an area of a clip's picture, shrunk by a whole number and fitted, before the nets.
func (n *Loaded) Picture(p clip.Picture, area image.Rectangle, shrink int, fit *mat.Fit) Picture {
	m := mat.Colours(p, area, shrink)
	fit.Apply(&m)
	return &picture{m, n}
}

// picture is a Picture of OpenCV's.
type picture struct {
	mat  gocv.Mat
	nets *Loaded
}

func (p *picture) Size() image.Point { return image.Pt(p.mat.Cols(), p.mat.Rows()) }

func (p *picture) Close() { p.mat.Close() }

// affine is the matrix that takes (x, y) to (a·x + b·y + c, d·x + e·y + f).
func affine(a, b, c, d, e, f float64) gocv.Mat {
	m := gocv.NewMatWithSize(2, 3, gocv.MatTypeCV64F)
	for i, v := range []float64{a, b, c, d, e, f} {
		m.SetDoubleAt(i/3, i%3, v)
	}
	return m
}

var black = color.RGBA{A: 255}
