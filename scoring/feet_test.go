package scoring_test

import (
	"testing"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// seenFrom is a simulated landing seen from the front, whose left knee falls in by that much,
// measured as one on the leg that was asked for.
func seenFrom(t *testing.T, landed, asked kinematics.Side, inDeg float64, hide ...kinematics.Landmark) []kinematics.Landing {
	t.Helper()
	s := simulated.Landing{
		View: kinematics.Front, Limb: landed, FPS: 60, StatureCM: 175, PxPerCM: 4.2, BoxCM: 30, DepthCM: 20, HoldS: 4, SD: 0.5,
		FPPADeg: map[kinematics.Side]float64{left: inDeg},
	}
	tr, _ := s.Track()
	for _, l := range hide {
		for i := range tr.Points[l] {
			tr.Points[l][i] = kinematics.Unseen()
		}
	}
	l, err := kinematics.Derive(tr, kinematics.Options{Task: kinematics.DropLanding, Limb: asked, StatureCM: 175})
	if err != nil {
		t.Fatal(err)
	}
	return []kinematics.Landing{l}
}

func load(t *testing.T, name string) scoring.Checklist {
	t.Helper()
	list, err := scoring.Load(name)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

const left, right, both = kinematics.Left, kinematics.Right, kinematics.Both

var leftFoot = []kinematics.Landmark{kinematics.On(left, kinematics.Ankle), kinematics.On(left, kinematics.Heel), kinematics.On(left, kinematics.Toe)}

// The feet that landed are compared with those that were asked for, and a landing on others is
// not scored.
func TestFeetAsAsked(t *testing.T) {
	list := load(t, "one-foot-landing")
	for _, c := range []struct {
		name          string
		landed, asked kinematics.Side
		hide          []kinematics.Landmark
		finding       scoring.Verdict
		is            kinematics.Side
	}{
		{"as seen, both", both, both, nil, scoring.Clear, both},
		{"as seen, one", right, both, nil, scoring.Clear, right},
		{"the one asked for", right, right, nil, scoring.Clear, right},
		{"both instead of one", both, left, nil, scoring.Error, both},
		{"the other one", right, left, nil, scoring.Error, right},
		{"one, the other hidden", right, right, leftFoot, scoring.NotSeen, ""},
		{"both, one hidden", both, both, leftFoot, scoring.NotSeen, ""},
	} {
		ls := seenFrom(t, c.landed, c.asked, 0, c.hide...)
		got := scoring.CheckFeet(c.asked, ls)
		if got.Finding != c.finding || got.Landed != c.is {
			t.Errorf("%s: %+v", c.name, got)
		}
		if c.finding != scoring.Error {
			continue
		}
		score := scoring.Apply(list, scoring.Refused(ls, got.Why))
		for _, f := range score.Items {
			if f.Finding != scoring.NotSeen || f.View == kinematics.Front && f.Why != got.Why || f.Value != nil {
				t.Errorf("%s: %s is %s: %q", c.name, f.ID, f.Finding, f.Why)
			}
		}
		if score.Errors != 0 || score.Most != 0 {
			t.Errorf("%s: %d errors of %d", c.name, score.Errors, score.Most)
		}
	}
}

// Nothing is clear on a leg that was not seen, which falls in by 35° here.
func TestAnUnseenLegIsNotClear(t *testing.T) {
	ls := seenFrom(t, both, both, 35, kinematics.On(left, kinematics.Knee))
	found := map[kinematics.Side]scoring.Verdict{}
	for _, f := range scoring.Apply(load(t, "two-foot-landing"), ls).Items {
		if f.ID == "knee-inside-toe" {
			found[f.Side] = f.Finding
		}
	}
	if found[right] != scoring.Clear || found[left] != scoring.NotSeen {
		t.Errorf("the knee inside the toe: %v", found)
	}
	list := load(t, "two-foot-landing")
	list.Items = []scoring.Item{{ID: "a", Text: "a", View: "front", Measure: "fppa_peak", Side: "either", ErrorWhen: "above", Threshold: 20, Unit: "deg", Points: 1}}
	if got := scoring.Apply(list, ls).Items; len(got) != 1 || got[0].Finding != scoring.NotSeen {
		t.Errorf("of either leg, one not seen: %+v", got)
	}
	if got := scoring.Apply(list, seenFrom(t, both, both, 35, kinematics.On(right, kinematics.Knee))).Items; len(got) != 1 || got[0].Finding != scoring.Error {
		t.Errorf("of either leg, one in error: %+v", got)
	}
}

// attempt is a trial on the leg that was asked for, as the ladder sees it.
func attempt(t *testing.T, landed, asked kinematics.Side, hide ...kinematics.Landmark) scoring.Attempt {
	t.Helper()
	ls := seenFrom(t, landed, asked, 0, hide...)
	feet, limb, ls := scoring.Judged(asked, ls)
	r := scoring.NewResult(kinematics.DropLanding, limb, ls, scoring.Apply(load(t, "one-foot-landing"), ls))
	r.Feet = &feet
	return scoring.AttemptOf(r)
}

// Landings on both feet that are filed as left and right earn no step on one foot, nor do those
// whose other foot nobody saw.
func TestOneFootIsEarnedOnOne(t *testing.T) {
	l := defaultLadder(t)
	step, err := l.Step("one-foot-drop")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name    string
		onLeft  scoring.Attempt
		verdict scoring.Progression
	}{
		{"on one", attempt(t, left, left), scoring.Ready},
		{"on both", attempt(t, both, left), scoring.NotYet},
		{"on the other", attempt(t, right, left), scoring.NotYet},
		{"the other not seen", attempt(t, left, left, kinematics.On(right, kinematics.Ankle), kinematics.On(right, kinematics.Heel), kinematics.On(right, kinematics.Toe)), scoring.CannotSay},
	} {
		onRight := attempt(t, right, right)
		var days []scoring.Day
		for _, date := range []string{"May 1", "May 8"} {
			days = append(days, scoring.Day{Date: date, Pain: number(0), Attempts: []scoring.Attempt{c.onLeft, c.onLeft, onRight, onRight}})
		}
		if got := l.Stand(step, days, nil); got.Verdict != c.verdict {
			t.Errorf("%s: %s because %q, want %s", c.name, got.Verdict, got.Because, c.verdict)
		}
	}
}
