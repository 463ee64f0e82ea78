package kinematics

import (
	"fmt"
	"strings"
)

// Side is the athlete's own left or right, whatever the view.
type Side string

// The sides. Both stands for a value that belongs to neither leg alone, such
// as a mean of the two or a measure of the trunk.
const (
	Left  Side = "left"
	Right Side = "right"
	Both  Side = "both"
)

// Other returns the opposite leg; Both stays Both.
func (s Side) Other() Side {
	switch s {
	case Left:
		return Right
	case Right:
		return Left
	}
	return Both
}

// Part is a place on the body that has a left and a right.
type Part string

// The parts every view is measured from.
const (
	Shoulder Part = "shoulder"
	Hip      Part = "hip"
	Knee     Part = "knee"
	Ankle    Part = "ankle"
	Heel     Part = "heel"
	Toe      Part = "toe"
)

// Parts lists the six parts from the top of the body down.
var Parts = []Part{Shoulder, Hip, Knee, Ankle, Heel, Toe}

// footParts are those of the parts that tell where a foot is.
var footParts = []Part{Ankle, Heel, Toe}

// Landmark names one point of the body, such as "left_knee".
type Landmark string

// On names the landmark of a part on a side.
func On(s Side, p Part) Landmark { return Landmark(string(s) + "_" + string(p)) }

// Landmarks lists the twelve landmarks, left before right, top to bottom.
func Landmarks() []Landmark {
	var out []Landmark
	for _, p := range Parts {
		out = append(out, On(Left, p), On(Right, p))
	}
	return out
}

// ParseLandmark returns the landmark of that name, or an error that lists the
// names there are.
func ParseLandmark(name string) (Landmark, error) {
	for _, l := range Landmarks() {
		if string(l) == name {
			return l, nil
		}
	}
	return "", fmt.Errorf("unknown landmark %q; the names are left_ or right_ with shoulder, hip, knee, ankle, heel or toe", name)
}

// Side returns which side the landmark is on.
func (l Landmark) Side() Side {
	if strings.HasPrefix(string(l), "left_") {
		return Left
	}
	return Right
}

// Part returns the part of the body the landmark is on.
func (l Landmark) Part() Part {
	return Part(strings.TrimPrefix(strings.TrimPrefix(string(l), "left_"), "right_"))
}

// View says how the athlete stands to the camera.
type View string

// The views. SideLeft means that the athlete's left side faces the camera, so
// the athlete looks to the left of the picture.
const (
	Front     View = "front"
	SideLeft  View = "side_left"
	SideRight View = "side_right"
)

// ParseView returns the view of that name.
func ParseView(name string) (View, error) {
	switch v := View(name); v {
	case Front, SideLeft, SideRight:
		return v, nil
	}
	return "", fmt.Errorf("unknown view %q; the views are front, side_left and side_right", name)
}

// IsSide reports whether the view is one of the two side views.
func (v View) IsSide() bool { return v == SideLeft || v == SideRight }

// Near returns the leg nearer the camera in a side view, and Both in front.
func (v View) Near() Side {
	switch v {
	case SideLeft:
		return Left
	case SideRight:
		return Right
	}
	return Both
}
