//go:build cgo

package draw

import (
	"context"
	"image"
	"io"

	"gocv.io/x/gocv"

	"steadfall/video/clip"
	"steadfall/video/mat"
)

// Frames hands out every frame of a clip in turn as a JPEG whose longer side is at most
// longest pixels, with nothing drawn on and nothing blurred: for staff who place points.
func Frames(ctx context.Context, path string, longest int, each func(frame int, jpeg []byte) error) error {
	film, err := clip.Open(path)
	if err != nil {
		return err
	}
	defer film.Close()
	k := min(1, float64(longest)/float64(max(film.Width, film.Height)))
	size := image.Pt(int(float64(film.Width)*k+0.5), int(float64(film.Height)*k+0.5))
	shrink := max(1, int(1/k))
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		p, err := film.Next()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		small := mat.Colours(p, mat.Divisible(film.Width, film.Height, shrink), shrink)
		if small.Cols() != size.X || small.Rows() != size.Y {
			gocv.Resize(small, &small, size, 0, 0, gocv.InterpolationArea)
		}
		jpeg, err := encode(small, 75)
		small.Close()
		if err != nil {
			return err
		}
		if err := each(p.Frame, jpeg); err != nil {
			return err
		}
	}
}
