package draw

import (
	"image"

	"gocv.io/x/gocv"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// HeadOutline is what encloses the head on a frame of a track.
func HeadOutline(t kinematics.Track, frame, width, height int) []image.Point {
	return newHeadMask(t).outline(frame, width, height)
}

// HideHead hides the head on a whole frame.
func HideHead(t kinematics.Track, frame int, m *gocv.Mat) {
	newHeadMask(t).hide(m, frame, plane.Cut{K: 1})
}
