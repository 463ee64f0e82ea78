//go:build !cgo

package video

import (
	"context"
	"errors"

	"steadfall/kinematics"
)

// ReadsClips tells whether this program was built with OpenCV.
const ReadsClips = false

// errWithout is why nothing can be done with a clip here.
var errWithout = errors.New("this program was built without the part that reads clips; run the one beside it, steadfall-clips")

// What a program built with OpenCV does, this one can only say that it cannot do.

func Inspect(context.Context, string, kinematics.Task, Progress) (Report, error) {
	return Report{}, errWithout
}

func Track(context.Context, string, Placements, Progress) (kinematics.Track, Footage, error) {
	return kinematics.Track{}, Footage{}, errWithout
}

func Place(context.Context, string, Nets, Placements, Progress) ([]Person, Footage, error) {
	return nil, Footage{}, errWithout
}

func Shoot(context.Context, string, kinematics.Track, Shots) (Shown, error) {
	return Shown{}, errWithout
}

func Frames(context.Context, string, int, func(int, []byte) error) error { return errWithout }

func PreviewLoop([][]byte, float64, int) ([]byte, error) { return nil, errWithout }
