package kinematics_test

import (
	"math"
	"testing"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
)

// changed is the track with the landmarks of one leg's parts changed at the times from on.
func changed(t kinematics.Track, from, to float64, side kinematics.Side, parts []kinematics.Part, change func(at float64, p kinematics.Point) kinematics.Point) kinematics.Track {
	out := moved(t, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) { return l, p }, still)
	for _, part := range parts {
		ps := out.Points[kinematics.On(side, part)]
		for i, at := range out.TimeS {
			if at >= from && at < to {
				ps[i] = change(at, ps[i])
			}
		}
	}
	return out
}

func gone(float64, kinematics.Point) kinematics.Point { return kinematics.Unseen() }

var (
	leg  = []kinematics.Part{kinematics.Hip, kinematics.Knee, kinematics.Ankle, kinematics.Heel, kinematics.Toe}
	foot = []kinematics.Part{kinematics.Ankle, kinematics.Heel, kinematics.Toe}
	knee = []kinematics.Part{kinematics.Knee}
	hip  = []kinematics.Part{kinematics.Hip}
)

func missing(l kinematics.Landing, name string, side kinematics.Side) bool {
	for _, m := range l.Missing {
		if m.Name == name && m.Side == side {
			return true
		}
	}
	return false
}

// onRight is a landing on the right foot from the front, with the left one in the air.
func onRight() simulated.Landing {
	s := dropFront()
	s.Limb, s.HoldS = kinematics.Right, 5
	return s
}

// Which foot landed is what was seen, whatever was asked.
func TestTheFeetAreThoseThatWereSeen(t *testing.T) {
	two, truth := dropFront().Track()
	one, _ := onRight().Track()
	for _, c := range []struct {
		name        string
		track       kinematics.Track
		left, right kinematics.FootState
	}{
		{"both", two, kinematics.FootLanded, kinematics.FootLanded},
		{"right", one, kinematics.FootInAir, kinematics.FootLanded},
		{"both, the left foot hidden", changed(two, 0, 9, kinematics.Left, foot, gone), kinematics.FootUnseen, kinematics.FootLanded},
		{"right, the left foot hidden from the fall on", changed(one, truth.ContactS-0.1, 9, kinematics.Left, foot, gone), kinematics.FootUnseen, kinematics.FootLanded},
	} {
		for _, asked := range []kinematics.Side{kinematics.Both, kinematics.Left, kinematics.Right} {
			l := derive(t, c.track, kinematics.Options{Limb: asked})
			if l.Foot(kinematics.Left) != c.left || l.Foot(kinematics.Right) != c.right {
				t.Errorf("%s, asked for %s: left %s, right %s", c.name, asked, l.Foot(kinematics.Left), l.Foot(kinematics.Right))
			}
		}
	}
}

// A leg that was not seen is said to be missing, whatever the other one did, and nothing that
// takes both is told from one.
func TestAnUnseenLegIsMissing(t *testing.T) {
	s := dropFront()
	whole, truth := s.Track()
	for _, c := range []struct {
		name  string
		track kinematics.Track
	}{
		{"never", changed(whole, 0, 9, kinematics.Left, leg, gone)},
		{"its knee never", changed(whole, 0, 9, kinematics.Left, knee, gone)},
		{"not from the fall on", changed(whole, truth.ContactS-0.1, 9, kinematics.Left, leg[1:], gone)},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := derive(t, c.track, kinematics.Options{})
			for _, name := range []string{"fppa_peak", "fppa_contact"} {
				if !missing(l, name, kinematics.Left) {
					t.Errorf("%s of the unseen leg is not said to be missing", name)
				}
				if _, ok := l.Measure(name, kinematics.Both); ok {
					t.Errorf("%s of both legs is told from one", name)
				}
			}
			if _, ok := l.Measure("fppa_peak", kinematics.Right); !ok {
				t.Error("the seen leg was not measured")
			}
			if m, ok := l.Measure("trunk_lean_peak", kinematics.Both); ok && m.Value > 3 {
				t.Errorf("the trunk, which is upright, leans by %.1f ± %.1f°", m.Value, m.SD)
			}
		})
	}
}

// A foot that steps aside after a good hold ends it then; it does not undo it.
func TestAHoldBeforeAStepIsOne(t *testing.T) {
	s := dropFront()
	s.HoldS = 9
	tr, truth := s.Track()
	steps := truth.LowestS + 3.5
	l := derive(t, changed(tr, steps, 99, kinematics.Right, foot, func(at float64, p kinematics.Point) kinematics.Point {
		p.X -= 8 * s.PxPerCM * math.Min((at-steps)/0.1, 1)
		return p
	}), kinematics.Options{})
	if l.Ending != kinematics.FootMoved {
		t.Errorf("the hold ended so: %s", l.Ending)
	}
	within(t, "hold", value(t, l, "hold_time", kinematics.Both), 3.5, 0.25)
}

// On one foot, the other one that comes down soon after contact leaves no hold; later, it ends it.
func TestTheOtherFootEndsAHold(t *testing.T) {
	s := onRight()
	s.SwayCM = 3 // to be still takes a while
	tr, truth := s.Track()
	for _, after := range []float64{0.3, 2.5} {
		down := truth.ContactS + after
		lift := 0.1 * s.StatureCM * s.PxPerCM
		l := derive(t, changed(tr, down-0.1, 99, kinematics.Left, foot, func(at float64, p kinematics.Point) kinematics.Point {
			p.Y += lift * math.Min((at-down+0.1)/0.1, 1)
			return p
		}), kinematics.Options{Limb: kinematics.Right})
		if l.Ending != kinematics.OtherFoot {
			t.Errorf("down %g s after contact, the hold ended so: %s", after, l.Ending)
		}
		still, was := l.Event(kinematics.StillFrom)
		switch m, ok := l.Measure("hold_time", kinematics.Both); {
		case was && down < still.TimeS:
			t.Errorf("down %g s after contact, before the athlete is still at %.2f s", after, still.TimeS)
		case was != ok, ok && math.Abs(still.TimeS+m.Value-down) > 0.1, m.AtLeast:
			t.Errorf("down %g s after contact, held for %+v", after, m)
		}
	}
}

// What was not seen of a hold is not told: of its start, of its end, of a foot that stands or of
// the one in the air.
func TestAHoldIsTheOneThatWasSeen(t *testing.T) {
	s := onRight()
	tr, truth := s.Track()
	low := truth.LowestS
	bothHips := func(from, to float64) kinematics.Track {
		return changed(changed(tr, from, to, kinematics.Left, hip, gone), from, to, kinematics.Right, hip, gone)
	}
	for _, c := range []struct {
		name     string
		track    kinematics.Track
		atMostS  float64
		stillMay bool
	}{
		{"all", tr, 5, true},
		{"hips unseen for a second after the deepest point", bothHips(low+0.1, low+1.1), 4, false},
		{"hips unseen later", bothHips(low+2, low+3), 2, true},
		{"the foot in the air unseen later", changed(tr, low+2, low+3, kinematics.Left, foot, gone), 2, true},
		{"the foot on the floor unseen later", changed(tr, low+2, low+3, kinematics.Right, foot, gone), 2, true},
		{"the foot in the air never seen after", changed(tr, low+0.4, 99, kinematics.Left, foot, gone), 0.4, true},
		{"a short gap", changed(tr, low+2, low+2.08, kinematics.Right, foot, gone), 5, true},
	} {
		l := derive(t, c.track, kinematics.Options{Limb: kinematics.Right})
		m, ok := l.Measure("hold_time", kinematics.Both)
		if !ok || !m.AtLeast || m.Value > c.atMostS+0.1 || m.Value < c.atMostS-0.6 {
			t.Errorf("%s: held for %.2f s, at least: %v; want at least %.2f", c.name, m.Value, m.AtLeast, c.atMostS)
		}
		if m, ok := l.Measure("time_to_still", kinematics.Both); ok != c.stillMay {
			t.Errorf("%s: still after %.2f ± %.2f s", c.name, m.Value, m.SD)
		}
	}
}
