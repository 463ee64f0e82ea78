package kinematics_test

import (
	"math"
	"testing"

	"steadfall/kinematics"
)

// twice is the same landing two times in one clip, the second gap seconds later.
func twice(t kinematics.Track, gap float64) kinematics.Track {
	n := len(t.TimeS)
	frames, times := append([]int(nil), t.Frame...), append([]float64(nil), t.TimeS...)
	for i := range n {
		frames, times = append(frames, t.Frame[n-1]+1+i), append(times, t.TimeS[i]+t.TimeS[n-1]+gap)
	}
	out := kinematics.NewTrack(t.View, t.Width, t.Height, frames, times)
	for l, ps := range t.Points {
		copy(out.Points[l], ps)
		copy(out.Points[l][n:], ps)
	}
	return out
}

// Each landing of a clip gives the measures it gives in a clip of its own.
func TestTrialsOfOneClip(t *testing.T) {
	s := dropFront()
	s.HoldS = 4
	one, truth := s.Track()
	alone := derive(t, one, kinematics.Options{})
	opt := kinematics.Options{Task: kinematics.DropLanding}
	trials, err := kinematics.Trials(twice(one, 1/s.FPS), opt)
	if err != nil || len(trials) != 2 {
		t.Fatalf("%d trials, %v", len(trials), err)
	}
	later := one.TimeS[len(one.TimeS)-1] + 1/s.FPS
	for i, want := range []float64{truth.ContactS, truth.ContactS + later} {
		if math.Abs(trials[i].ContactS-want) > 0.5/s.FPS {
			t.Errorf("landing %d is at %.3f s, want %.3f", i+1, trials[i].ContactS, want)
		}
		got := derive(t, trials[i].Track, kinematics.Options{})
		for _, name := range []string{"fppa_peak", "landing_depth_share"} {
			for _, side := range []kinematics.Side{kinematics.Left, kinematics.Both} {
				a, okA := alone.Measure(name, side)
				b, okB := got.Measure(name, side)
				if okA != okB || math.Abs(a.Value-b.Value) > 0.5 {
					t.Errorf("landing %d: %s (%s) is %.2f, alone %.2f", i+1, name, side, b.Value, a.Value)
				}
			}
		}
	}
}

func TestTrialsWhereNobodyLands(t *testing.T) {
	one, truth := dropFront().Track()
	trials, err := kinematics.Trials(cut(one, 0, truth.StartS), kinematics.Options{Task: kinematics.DropLanding})
	if err != nil || len(trials) != 0 {
		t.Errorf("%d trials, %v", len(trials), err)
	}
}

func TestSidesSwappedTwiceIsTheSame(t *testing.T) {
	one, _ := dropFront().Track()
	one.View = kinematics.SideLeft
	once := one.SidesSwapped()
	if once.View != kinematics.SideRight || once.Points["left_knee"][3] != one.Points["right_knee"][3] {
		t.Error("left and right were not changed over")
	}
	if back := once.SidesSwapped(); back.View != one.View || back.Points["left_knee"][3] != one.Points["left_knee"][3] {
		t.Error("changing over twice changes something")
	}
}

// Feet that cross in the picture are called out.
func TestCrossedFeetAreFlagged(t *testing.T) {
	one, truth := dropFront().Track()
	if l := derive(t, one, kinematics.Options{}); noted(l, kinematics.NoteFeetCross) {
		t.Errorf("feet that do not cross are flagged: %v", l.Notes)
	}
	crossed := moved(one, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) { return l, p }, still)
	for i, s := range crossed.TimeS {
		if s > truth.LowestS+0.3 {
			l, r := crossed.Points["left_ankle"], crossed.Points["right_ankle"]
			l[i], r[i] = r[i], l[i]
		}
	}
	if l := derive(t, crossed, kinematics.Options{}); !noted(l, kinematics.NoteFeetCross) {
		t.Errorf("no warning: %v", l.Notes)
	}
}
