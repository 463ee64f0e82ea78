//go:build cgo

package video

import (
	"context"
	"errors"
	"image"

	"gocv.io/x/gocv"
)

// Frames hands out every frame of a clip in turn as a JPEG whose longer side is at most
// longest pixels, with nothing drawn on and nothing blurred: for staff who place points.
func Frames(ctx context.Context, path string, longest int, each func(frame int, jpeg []byte) error) error {
	clip, err := Open(path)
	if err != nil {
		return err
	}
	defer clip.Close()
	k := min(1, float64(longest)/float64(max(clip.Width, clip.Height)))
	size := image.Pt(int(float64(clip.Width)*k+0.5), int(float64(clip.Height)*k+0.5))
	picture, small := gocv.NewMat(), gocv.NewMat()
	defer picture.Close()
	defer small.Close()
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		s, err := clip.next(&picture)
		if errors.Is(err, errEnd) {
			return nil
		}
		if err != nil {
			return err
		}
		gocv.Resize(picture, &small, size, 0, 0, gocv.InterpolationArea)
		jpeg, err := encode(small, 75)
		if err != nil {
			return err
		}
		if err := each(s.Frame, jpeg); err != nil {
			return err
		}
	}
}
