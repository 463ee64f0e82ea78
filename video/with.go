//go:build cgo

package video

import (
	"context"

	"steadfall/kinematics"
	"steadfall/video/draw"
)

// ReadsClips tells whether this program was built with what reads clips.
const ReadsClips = true

// Shoot takes the pictures in one pass over the clip.
func Shoot(ctx context.Context, path string, t kinematics.Track, want Shots) (Shown, error) {
	return draw.Shoot(ctx, path, t, want)
}

// Frames hands out every frame of a clip in turn as a JPEG whose longer side is at most
// longest pixels, with nothing drawn on and nothing blurred: for staff who place points.
func Frames(ctx context.Context, path string, longest int, each func(frame int, jpeg []byte) error) error {
	return draw.Frames(ctx, path, longest, each)
}

// PreviewLoop is pictures of one size, as JPEG, as an H.264 clip of so many pictures a second in
// an MP4 file of at most so many bytes.
func PreviewLoop(pictures [][]byte, perSecond float64, most int) ([]byte, error) {
	return draw.PreviewLoop(pictures, perSecond, most)
}
