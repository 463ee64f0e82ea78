// Package pose finds people in a picture, and the landmarks of one of them, by two nets, and knows how
// the nets err. What needs OpenCV is behind Picture, so that whoever looks at people does not.
package pose

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
)

// Nets are the nets that place points, in ONNX form: one finds the people in a
// picture, the other places the points of one person. Their bytes must be those whose
// sums were checked: OpenCV ends the program on damaged ones.
type Nets struct {
	Detector, Landmarks []byte
	LandmarkOutputs     []string // points, presence, heat maps
	Runtime             string   // file of ONNX Runtime's library; "" for OpenCV, and nets in the form that it reads
}

// A Picture is a small picture in colours that the nets look at.
type Picture interface {
	Size() image.Point
	// People are the regions of the people in a part of the picture, the surest first.
	People(part image.Rectangle) []Region
	// See places the points of the person in a region. mirrored shows the net its mirror image: the
	// net errs sideways a little, always the same way, which cancels over picture and mirror image.
	See(r Region, mirrored bool) Pose
	Close()
}

// Region is the square of the picture that a person is looked for in, turned so that
// the person stands upright in it.
type Region struct {
	Mid   r2.Vec
	Side  float64 // px
	Angle float64 // rad, clockwise as seen, 0 for an upright person
}

// regionOf is the square around a person whose hips' middle is c and of whose body's
// circle p is the top.
func regionOf(c, p r2.Vec) Region {
	d := r2.Sub(p, c)
	a := math.Pi/2 - math.Atan2(-d.Y, d.X)
	a -= 2 * math.Pi * math.Floor((a+math.Pi)/(2*math.Pi))
	return Region{c, 2 * r2.Norm(d) * 1.25, a}
}

// Proposal is one landmark as the net sees it.
type Proposal struct {
	At      r2.Vec
	Visible float64 // 0 to 1; it stays high on limbs that are hidden by others
}

// Pose is one person as the net sees them on one picture.
type Pose struct {
	Sure   float64 // that a person is there, 0 to 1
	Points map[kinematics.Landmark]Proposal
	Head   r2.Vec // between the ears
	Next   Region // where to look on the next picture
}

// sureOfPose is the least certainty of the net that a person is in its region.
const sureOfPose = 0.5

// mostTilt is the largest lean of the whole body from upright, rad: 60°. Whoever jumps
// stands; a person on their head is a shadow or a rack.
const mostTilt = math.Pi / 3

// leastRegion is the side of the smallest region of a person that is looked at, px of
// the small picture: a person of 100 px, too small to be measured.
const leastRegion = 130

// Usable reports whether the net is sure enough of an upright person of some size.
func (s Pose) Usable() bool {
	return s.Sure >= sureOfPose && math.Abs(s.Next.Angle) < mostTilt && s.Next.Side > leastRegion
}
