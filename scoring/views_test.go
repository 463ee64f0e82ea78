package scoring_test

import (
	"math"
	"strings"
	"testing"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// sim is a simulated landing seen in a view, its clip started late by so many seconds.
func sim(t *testing.T, view kinematics.View, depthCM, late float64) kinematics.Landing {
	t.Helper()
	s := simulated.Landing{
		View: view, FPS: 60, StatureCM: 175, PxPerCM: 4, BoxCM: 30, DepthCM: depthCM, HoldS: 3, SD: 1, KneesMove: true,
		FPPADeg: map[kinematics.Side]float64{kinematics.Left: 12, kinematics.Right: 4},
	}
	tr, _ := s.Track()
	for i := range tr.TimeS {
		tr.TimeS[i] += late
	}
	l, err := kinematics.Derive(tr, kinematics.Options{Task: kinematics.DropLanding, StatureCM: 175})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Two phones are not started together: the views are aligned at contact, and what both
// see is compared. Two landings that are not one are called out.
func TestTwoViewsAreAlignedAndCompared(t *testing.T) {
	front := sim(t, kinematics.Front, 22, 0)
	for depth, said := range map[float64]bool{22: false, 38: true} {
		r := scoring.NewResult(kinematics.DropLanding, kinematics.Both, []kinematics.Landing{front, sim(t, kinematics.SideRight, depth, 0.4)}, scoring.Score{})
		if got := r.Views[1].OffsetS; math.Abs(got-0.4) > 0.01 {
			t.Errorf("the side view is %.3f s late, want 0.4", got)
		}
		if got := strings.Contains(strings.Join(r.Warnings, "\n"), "the two views differ in"); got != said {
			t.Errorf("depths of 22 and %g cm: called out %v, want %v: %q", depth, got, said, r.Warnings)
		}
	}
}

// The legs' difference is right minus left; its sd holds the camera's yaw twice over,
// since yaw moves the knees apart, so that it is larger than independent legs would make
// it.
func TestLimbDifferenceHoldsTheYawTwice(t *testing.T) {
	l := sim(t, kinematics.Front, 22, 0)
	for _, d := range scoring.Limbs(l) {
		left, _ := l.Measure(d.Name, kinematics.Left)
		right, _ := l.Measure(d.Name, kinematics.Right)
		if math.Abs(d.Value-(right.Value-left.Value)) > 1e-9 {
			t.Errorf("%s: %g, want %g", d.Name, d.Value, right.Value-left.Value)
		}
		if d.Name == "fppa_lowest" && d.SD < 1.2*math.Hypot(left.SD, right.SD) {
			t.Errorf("fppa_lowest: sd %.2f of the difference, legs %.2f and %.2f", d.SD, left.SD, right.SD)
		}
	}
}

// 684.3 and 882.1 N are 77.6 % of one another (docs/sources.md, Force-plate jumps).
func TestLimbIndex(t *testing.T) {
	for _, swap := range []bool{false, true} {
		a, b := 684.3, 882.1
		if swap {
			a, b = b, a
		}
		p, sd := scoring.LimbIndex(a, 10, b, 10)
		if math.Abs(p-77.6) > 0.05 {
			t.Errorf("index %.2f %%, want 77.6", p)
		}
		if want := p * math.Hypot(10/684.3, 10/882.1); math.Abs(sd-want) > 1e-9 {
			t.Errorf("sd %g, want %g", sd, want)
		}
	}
}

// The studies were of adults: for a minor nothing is shown.
func TestPublishedRangesAreOfAdults(t *testing.T) {
	for _, c := range []struct {
		feet int
		age  float64
		some bool
	}{{2, 0, true}, {2, 25, true}, {1, 30, true}, {2, 14, false}, {1, 17.9, false}} {
		if got := len(scoring.Published(kinematics.DropLanding, c.feet, c.age)) > 0; got != c.some {
			t.Errorf("%d feet, %g years: shown %v, want %v", c.feet, c.age, got, c.some)
		}
	}
	if n := len(scoring.Published(kinematics.SquatJump, 2, 25)); n != 0 {
		t.Errorf("%d ranges for a squat jump, of which none was measured", n)
	}
}
