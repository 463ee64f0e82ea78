package pipeline

import (
	"steadfall/kinematics"
	"steadfall/video"
)

// Source is what one view is measured from: a clip, with placements or without, or a track, with
// the clip for pictures where it is at hand.
type Source struct {
	Clip       string // its path
	Placements *Placements
	Track      *Track
	Length     *kinematics.KnownLength
	Plumb      *kinematics.Plumb // an upright line of its pictures
}

// Given reports whether the source names anything.
func (s Source) Given() bool { return s.Clip != "" || s.Track != nil }

// name is what messages call the source.
func (s Source) name() string {
	switch {
	case s.Clip != "":
		return s.Clip
	case s.Track.File != "":
		return s.Track.File
	}
	return "the kept track"
}

// Placements are points that a person placed on a clip.
type Placements struct {
	File string // they were read from; empty for none
	video.Placements
}

// Track is a view that was tracked before. One from a file is measured under the options of the
// request, one that was kept under its own.
type Track struct {
	File string // it was read from; empty for one that was kept
	View View   // not embedded, whose form in JSON would be the track's
}
