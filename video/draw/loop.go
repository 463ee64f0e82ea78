//go:build cgo

package draw

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	stddraw "image/draw"
	"image/jpeg"
	"os"
	"path/filepath"

	"gocv.io/x/gocv"

	"steadfall/internal/safefile"
)

// A clip that is too large is made smaller in both directions, a few times.
const (
	loopShrink = 0.75
	loopTries  = 6
)

// PreviewLoop is pictures of one size, as JPEG, as an H.264 clip of so many pictures a second in an
// MP4 file of at most so many bytes. The pictures are read by Go's own decoder, so they may
// come from a process that is not trusted.
func PreviewLoop(pictures [][]byte, perSecond float64, most int) ([]byte, error) {
	if len(pictures) == 0 {
		return nil, errors.New("a preview loop needs pictures")
	}
	dir, err := safefile.TempDir("steadfall-loop-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	name := filepath.Join(dir, "loop.mp4")
	scale := 1.0
	for range loopTries {
		if err := writeLoop(name, pictures, perSecond, scale); err != nil {
			return nil, fmt.Errorf("the preview loop could not be made: %w", err)
		}
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("the preview loop could not be read again: %s", safefile.Why(err))
		}
		if len(data) == 0 { // the writer does not say why
			return nil, fmt.Errorf("the preview loop could not be written into %q; is there room, and can this OpenCV write H.264?", os.TempDir())
		}
		if len(data) <= most {
			return data, nil
		}
		scale *= loopShrink
	}
	return nil, fmt.Errorf("the preview loop does not fit into %d bytes; make it shorter", most)
}

func writeLoop(name string, pictures [][]byte, perSecond, scale float64) error {
	var w *gocv.VideoWriter
	var size image.Point
	for _, p := range pictures {
		img, err := jpeg.Decode(bytes.NewReader(p))
		if err != nil {
			return err
		}
		if w == nil {
			even := func(n int) int { return max(int(float64(n)*scale)/2*2, 2) } // H.264 halves the colours
			size = image.Pt(even(img.Bounds().Dx()), even(img.Bounds().Dy()))
			if w, err = gocv.VideoWriterFile(name, "avc1", perSecond, size.X, size.Y, true); err != nil {
				return err
			}
			defer w.Close()
		}
		if err := addTo(w, img, size); err != nil {
			return err
		}
	}
	return nil
}

func addTo(w *gocv.VideoWriter, img image.Image, size image.Point) error {
	plain := image.NewRGBA(img.Bounds()) // which OpenCV takes over at once
	stddraw.Draw(plain, plain.Rect, img, img.Bounds().Min, stddraw.Src)
	m, err := gocv.ImageToMatRGB(plain) // its channels are in OpenCV's order, blue first
	if err != nil {
		return err
	}
	defer m.Close()
	gocv.Resize(m, &m, size, 0, 0, gocv.InterpolationArea)
	return w.Write(m)
}
