// Package track follows the landmarks of the people in a clip: placements by hand, what the nets see and
// the steps of the flow become a kinematics.Track, in which every point says how sure it is. It decides; the
// pictures are behind flow.Picture and pose.Picture, so it builds without OpenCV.
package track

import (
	"steadfall/video/flow"
	"steadfall/video/pose"
)

// Frame is what the trackers are given of a frame.
type Frame struct {
	Number  int
	TimeS   float64
	Grey    flow.Picture        // nil of a damaged one; closed by the tracker when it is done with
	Again   bool                // it shows the moment of the one before, though the athlete moves
	Colours func() pose.Picture // for the nets, made when it is asked for; not the tracker's to close
}

// closeIf lets go of a picture, if there is one.
func closeIf(p flow.Picture) {
	if p != nil {
		p.Close()
	}
}
