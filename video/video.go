// Package video reads clips and puts points on them: opening a clip with the
// true time of every frame, checking whether it can be measured, carrying
// placed points through it by optical flow, and drawing on its frames.
//
// All OpenCV of the project lives here, and all FFmpeg in the package clip below. What leaves the package is plain Go:
// kinematics.Track, numbers and JPEG bytes.
package video

import (
	"fmt"
	"path/filepath"

	"steadfall/kinematics"
	"steadfall/video/clip"
	"steadfall/video/draw"
	"steadfall/video/pose"
)

// Progress is told how many of how many frames are done; total is 0 where the
// clip does not say.
type Progress func(done, total int)

// OpenError says why a file cannot be used as a clip.
type OpenError = clip.Error

// Info is what a clip says of itself, and Loss a stretch of it that is damaged.
type (
	Info = clip.Info
	Loss = clip.Loss
)

// Footage is a clip that was read to its end.
type Footage struct {
	Info
	Losses  []Loss
	Freezes []Freeze
}

// Freeze is a stretch of a clip in which pictures show, in whole or in part, the moment of the one
// before, although the athlete moved on. Nothing is on them in a track.
type Freeze struct {
	FromS, ToS float64
	Pictures   int // that are frozen, not all of the stretch where a slower clip was filled up
}

// Nets are the nets that place points, in ONNX form.
type Nets = pose.Nets

// Person is one person of a clip.
type Person struct {
	View     kinematics.View // how they stand to the camera, from most of their frames
	Sideways kinematics.View // which side view it would be
	Behind   bool            // they are seen from behind
	HeightPx float64         // about
	MidX     float64         // where they are on average, px
	FeetOut  float64         // share of the frames on which a foot is outside the picture
	Swaps    int             // pictures on which the net took left for right; put right

	track func(kinematics.View) kinematics.Track
}

// Track is the person's track, taken as that view. Points outside the picture, points
// that are too uncertain and the covered points of the far side are not in it.
func (q Person) Track(view kinematics.View) kinematics.Track { return q.track(view) }

// NobodyError says that no person was found in a clip.
type NobodyError struct {
	Path  string
	Black bool // the picture is black
}

func (e *NobodyError) Error() string {
	if e.Black {
		return fmt.Sprintf("%q is black: nothing can be seen in it; was the lens covered or the light off? Film it again", filepath.Base(e.Path))
	}
	return fmt.Sprintf("nobody is seen in %q; film the whole athlete, upright and at least a third of the picture tall, or place the points by hand", filepath.Base(e.Path))
}

// Mark, Shots and Shown are the pictures that Shoot takes.
type (
	Mark  = draw.Mark
	Shots = draw.Shots
	Shown = draw.Shown
)
