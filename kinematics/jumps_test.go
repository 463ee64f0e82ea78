package kinematics_test

import (
	"math"
	"testing"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
)

func jumper() simulated.Jumps {
	return simulated.Jumps{View: kinematics.SideRight, FPS: 120, StatureCM: 178, PxPerCM: 4, SquatCM: 35, DepthCM: 20, SD: 0.5}
}

func measured(t *testing.T, l kinematics.Landing, name string) kinematics.Measure {
	t.Helper()
	m, ok := l.Measure(name, kinematics.Both)
	if !ok {
		t.Fatalf("no %s: %v %v", name, l.Missing, l.Events)
	}
	return m
}

func deriveJump(t *testing.T, j simulated.Jumps, task kinematics.Task) kinematics.Landing {
	t.Helper()
	tr := j.Track()
	return derive(t, tr, kinematics.Options{Task: task, StatureCM: j.StatureCM, Length: &kinematics.KnownLength{CM: 100, X2: 100 * j.PxPerCM}})
}

// A drop jump told by a force plate (docs/sources.md, Force-plate jumps): contact 0.239 s,
// flight 0.310 s, height 11.78 cm, reactive strength 0.493 m/s, ratio 1.297. A track of those
// times gives them back within one sample.
func TestPublishedDropJump(t *testing.T) {
	j := jumper()
	j.FPS, j.BoxCM, j.ContactS, j.FlightS = 240, 36, []float64{0.239}, []float64{0.310}
	l := deriveJump(t, j, kinematics.DropJump)
	sample := 1 / j.FPS
	within(t, "contact", value(t, l, "contact_time", kinematics.Both), 0.239, sample)
	within(t, "flight", value(t, l, "flight_time", kinematics.Both), 0.310, sample)
	within(t, "height", value(t, l, "jump_height", kinematics.Both), 11.78, 100*kinematics.Gravity*0.310/4*sample)
	within(t, "reactive strength", value(t, l, "reactive_strength", kinematics.Both), 0.493, 0.493*sample*(2/0.310+1/0.239))
	within(t, "ratio", value(t, l, "flight_contact_ratio", kinematics.Both), 1.297, 1.297*sample*(1/0.310+1/0.239))
}

// A squat jump is held at the bottom; sinking 3 cm before the push is told from none.
func TestSquatJumpDip(t *testing.T) {
	for _, dip := range []float64{0, 3, 6} {
		j := jumper()
		j.SquatS, j.DipCM, j.FlightS = 2, dip, []float64{0.45}
		l := deriveJump(t, j, kinematics.SquatJump)
		m := measured(t, l, "squat_dip")
		within(t, "dip", m.Value, dip, 0.5)
		if m.SD > 0.9 {
			t.Errorf("dip of %g cm: sd %.2f cm", dip, m.SD)
		}
		within(t, "hold", value(t, l, "squat_hold", kinematics.Both), 2, 0.3)
		within(t, "flight", value(t, l, "flight_time", kinematics.Both), 0.45, 1/j.FPS)
	}
}

// A countermovement is no hold; its depth and both heights are found, and they agree.
func TestCountermovementJump(t *testing.T) {
	j := jumper()
	j.FlightS = []float64{0.5}
	l := deriveJump(t, j, kinematics.CountermovementJump)
	within(t, "depth", value(t, l, "countermovement_depth", kinematics.Both), 35, 1)
	within(t, "height", value(t, l, "jump_height", kinematics.Both), 30.66, 1) // g·T²/8
	within(t, "rise", value(t, l, "hip_rise", kinematics.Both), 30.66, 1.5)
	within(t, "posture bias", value(t, l, "posture_bias", kinematics.Both), 0, 1)
	l = deriveJump(t, j, kinematics.SquatJump)
	if m := measured(t, l, "squat_hold"); m.Value != 0 {
		t.Errorf("a countermovement was held for %.2f s", m.Value)
	}
}

// Repeated jumps give each contact and flight within one sample, and the fade of the set.
func TestRepeatedJumps(t *testing.T) {
	j := jumper()
	j.SquatCM, j.FlightS = 30, []float64{0.50, 0.48, 0.46, 0.44, 0.42, 0.40}
	j.ContactS = []float64{0.25, 0.26, 0.27, 0.28, 0.29}
	l := deriveJump(t, j, kinematics.RepeatedJumps)
	if len(l.Bounds) != len(j.ContactS) {
		t.Fatalf("%d bounds, want %d: %+v", len(l.Bounds), len(j.ContactS), l.Bounds)
	}
	for i, b := range l.Bounds {
		within(t, "contact", b.ContactTime, j.ContactS[i], 1/j.FPS)
		within(t, "flight", b.FlightTime, j.FlightS[i+1], 1/j.FPS)
	}
	height := func(i int) float64 { return kinematics.FlightHeightM(j.FlightS[i]) }
	want := 100 * (1 - height(5)/height(1))
	m := measured(t, l, "height_fade")
	within(t, "fade", m.Value, want, 2.5*m.SD)
	if math.IsNaN(m.SD) || m.SD > 8 {
		t.Errorf("fade ± %.1f %%", m.SD)
	}
}
