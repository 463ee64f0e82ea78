// Package draw makes the pictures of a clip that people are shown: stills, a film strip, the traced
// path and the preview loop, with the points of a track drawn on and the head hidden; and plain
// frames for those who place points.
package draw

import (
	"slices"

	"steadfall/kinematics"
)

// Mark is a frame to be shown, with short texts beside some landmarks. Texts are
// ASCII: OpenCV's letters know no others.
type Mark struct {
	Frame int
	Text  map[kinematics.Landmark]string
}

// Shots are the pictures that are wanted of a clip. All are cut to the athlete, with the points
// and lines of the track drawn on and the head blurred.
type Shots struct {
	Stills []Mark
	Strip  []int  // frames, side by side in one picture
	Path   Mark   // with the ways of hips and knees
	Along  [2]int // from and to which frame those ways go; no such picture where they are the same
	Loop   []int  // frames of the preview loop, in order
}

// Shown are those pictures, as JPEG. What the clip has no frame for is left out.
type Shown struct {
	Stills map[int][]byte
	Strip  []byte
	Path   []byte
	Loop   [][]byte // of one size, an even number of pixels both ways
}

// traced tells whether the path is wanted.
func (s Shots) traced() bool { return s.Along[0] < s.Along[1] }

// large are the frames that are shown large, in no order.
func (s Shots) large() (all []int) {
	for _, m := range s.Stills {
		all = append(all, m.Frame)
	}
	return all
}

// frames are all that are wanted, in order.
func (s Shots) frames() []int {
	all := slices.Concat(s.large(), s.Strip, s.Loop)
	if s.traced() {
		all = append(all, s.Path.Frame)
	}
	slices.Sort(all)
	return slices.Compact(all)
}
