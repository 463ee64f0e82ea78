package scoring_test

import (
	"encoding/json"
	"math"
	"testing"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// A squat jump with a dip of 3 cm is invalid, one without is valid, and one that was
// never held is a countermovement jump.
func TestSquatJumpIsChecked(t *testing.T) {
	for _, c := range []struct {
		dip, hold float64
		want      scoring.Verdict
	}{{0, 2, scoring.Clear}, {3, 2, scoring.Error}, {0, 0, scoring.Error}, {0, 0.5, scoring.Error}} {
		j := simulated.Jumps{
			View: kinematics.SideRight, FPS: 120, StatureCM: 178, PxPerCM: 4, SquatCM: 35, SquatS: c.hold, DipCM: c.dip,
			FlightS: []float64{0.45}, DepthCM: 20, SD: 1,
		}
		tr := j.Track()
		l, err := kinematics.Derive(tr, kinematics.Options{Task: kinematics.SquatJump, StatureCM: 178, Length: &kinematics.KnownLength{CM: 100, X2: 400}})
		if err != nil {
			t.Fatal(err)
		}
		got := scoring.CheckJump(scoring.Result{Task: kinematics.SquatJump, Measures: l.Measures})
		if got.Finding != c.want {
			t.Errorf("dip %g cm, hold %g s: %+v, want %s", c.dip, c.hold, got, c.want)
		}
	}
}

func jump(task kinematics.Task, cm float64) scoring.Result {
	return scoring.Result{Task: task, Measures: []kinematics.Measure{{Name: "jump_height", Value: cm, SD: 0.5}}}
}

// Two force-plate jumps (docs/sources.md, Force-plate jumps): 35.36 cm over 31.52 cm is 1.122.
func TestJumpSummaryAndStretchGain(t *testing.T) {
	bad := jump(kinematics.SquatJump, 50)
	bad.Jump = &scoring.JumpCheck{Finding: scoring.Error}
	all := scoring.SummariseJumps([]scoring.Result{
		jump(kinematics.CountermovementJump, 35.36), jump(kinematics.SquatJump, 31.02), jump(kinematics.SquatJump, 32.02), bad, jump(kinematics.DropLanding, 9),
	})
	if len(all) != 2 || all[0].Task != kinematics.SquatJump || all[0].Invalid != 1 || all[0].Trials != 2 {
		t.Fatalf("%+v", all)
	}
	if all[0].BestCM != 32.02 || math.Abs(all[0].MeanCM-31.52) > 1e-9 {
		t.Errorf("best %g, mean %g, want 32.02 and 31.52", all[0].BestCM, all[0].MeanCM)
	}
	ratio, sd, ok := scoring.StretchGain(all)
	if !ok || math.Abs(ratio-1.122) > 1e-3 || !(sd > 0) {
		t.Errorf("stretch gain %.4f ± %.4f %v, want 1.122", ratio, sd, ok)
	}
}

// A jump that was not held at the bottom is written and read again like any other.
func TestJumpThatWasNotHeldIsKept(t *testing.T) {
	j := simulated.Jumps{
		View: kinematics.SideRight, FPS: 120, StatureCM: 178, PxPerCM: 4, SquatCM: 35, FlightS: []float64{0.45}, DepthCM: 20, SD: 1,
	}
	l, err := kinematics.Derive(j.Track(), kinematics.Options{Task: kinematics.SquatJump, StatureCM: 178})
	if err != nil {
		t.Fatal(err)
	}
	ls := []kinematics.Landing{l}
	data, err := json.Marshal(scoring.NewResult(kinematics.SquatJump, kinematics.Both, ls, scoring.Apply(load(t, "two-foot-landing"), ls)))
	if err != nil {
		t.Fatal(err)
	}
	r, err := scoring.ParseResult(data)
	if err != nil {
		t.Fatal(err)
	}
	if m, ok := r.Surest("squat_hold"); !ok || m.Value != 0 || r.Jump.Finding != scoring.Error {
		t.Errorf("hold %+v, %+v", m, r.Jump)
	}
}
