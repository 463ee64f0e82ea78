// Package video reads clips and puts points on them: it checks whether a clip can be measured, goes
// through it once to place or follow points, and shows what was found. The work is done in the rooms
// below: clip reads (the only door to FFmpeg), flow follows points and pose finds people (the
// doors to OpenCV), track decides, draw makes pictures. What leaves the package is plain Go:
// kinematics.Track, numbers and JPEG bytes.
package video

import (
	"fmt"
	"io"
	"path/filepath"

	"steadfall/video/clip"
	"steadfall/video/draw"
	"steadfall/video/pose"
	"steadfall/video/track"
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

// Placements are points put on some frames of a clip, PlacedFrame those on one, and Person is one
// person of a clip with their track.
type (
	Placements  = track.Placements
	PlacedFrame = track.PlacedFrame
	Person      = track.Person
)

// PlacedSDPx is the standard deviation, in pixels, of a point a person placed
// without saying how sure they are.
const PlacedSDPx = track.PlacedSDPx

// ReadPlacements reads placements as JSON. Errors say in plain words which
// frame and point is wrong.
func ReadPlacements(r io.Reader) (Placements, error) { return track.ReadPlacements(r) }

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
