package kinematics_test

import (
	"math"
	"strings"
	"testing"

	"steadfall/kinematics"
)

// fallAt is a landing seen from the side at that rate, played slow times too slowly.
func fallAt(fps, slow float64) kinematics.Track {
	s := dropFront()
	s.View, s.FPS = kinematics.SideRight, fps
	tr, _ := s.Track()
	return moved(tr, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) { return l, p },
		func(t float64) float64 { return slow * t })
}

// With no length and no height known, the fall gives the scale: bodies fall at
// 9.81 m/s². The simulation has 4.2 px a cm.
func TestScaleFromTheFall(t *testing.T) {
	l, err := kinematics.Derive(fallAt(60, 1), kinematics.Options{Task: kinematics.DropLanding})
	if err != nil {
		t.Fatal(err)
	}
	if l.Scale.From != kinematics.FromGravity || l.Gravity.Verdict != kinematics.GravityNone {
		t.Fatalf("%+v %+v", l.Scale, l.Gravity)
	}
	want := 1 / dropFront().PxPerCM
	if math.Abs(l.Scale.CMPerPx-want) > 0.05*want || math.Abs(l.Scale.CMPerPx-want) > 2*l.Scale.SD {
		t.Errorf("%.4f ± %.4f cm a pixel, want %.4f", l.Scale.CMPerPx, l.Scale.SD, want)
	}
}

// Played too slowly, the same fall would make a giant, or is too slow to be a landing at
// all: it is called slow motion, with the rate it was filmed at, and nothing is taken
// from it.
func TestSlowMotionIsRecognisedWithoutALength(t *testing.T) {
	for _, slow := range []float64{2, 4, 8} {
		l, err := kinematics.Derive(fallAt(30*slow, slow), kinematics.Options{Task: kinematics.DropLanding})
		said, code := l.Doubt, kinematics.NoteSlowMotion
		if err != nil {
			said, code = remark(err), kinematics.NoLandingSlowMotion
		}
		if l.Scale.Known() || !isSlow(said, code, slow, 30*slow) {
			t.Errorf("%g×: scale %+v, %v", slow, l.Scale, said)
		}
	}
	// A fall of five centimetres is no landing, and no slow motion either.
	s := dropFront()
	s.View, s.BoxCM, s.DepthCM = kinematics.SideRight, 1, 12
	tr, _ := s.Track()
	if _, err := kinematics.Derive(tr, kinematics.Options{Task: kinematics.DropLanding}); err != nil && strings.Contains(err.Error(), "slow_motion") {
		t.Errorf("a small drop at true speed: %v", err)
	}
}
