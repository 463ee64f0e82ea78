package synthetic_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"steadfall/internal/notes"
	"steadfall/internal/testkit/synthetic"
	"steadfall/kinematics"
)

func clips(t *testing.T) []synthetic.Truth {
	t.Helper()
	all, err := synthetic.Clips("../../../testdata/clips")
	if err != nil || len(all) == 0 {
		t.Fatalf("no clips: %v", err)
	}
	return all
}

// slowed plays a track k times too slowly.
func slowed(tr kinematics.Track, k float64) kinematics.Track {
	times := make([]float64, len(tr.TimeS))
	for i, s := range tr.TimeS {
		times[i] = k * s
	}
	tr.TimeS = times
	return tr
}

// All rendered athletes are in true flight before they land: bodies fall at 9.81 m/s².
// Re-timed to 2, 4 and 8 times slow motion each clip is recognised, with its own rate
// proposed and nothing applied, whether or not the athlete's height is known; at true
// speed none is.
func TestSlowMotionOfTheClips(t *testing.T) {
	for _, c := range clips(t) {
		for _, k := range []float64{1, 2, 4, 8} {
			for _, height := range []float64{0, c.StatureCM} {
				l, err := kinematics.Derive(slowed(c.Track(2), k), kinematics.Options{Task: c.Task(), StatureCM: height})
				said := ""
				switch {
				case err != nil:
					said = notes.In(c.Name, err).Error()
				case l.Doubt != nil:
					said = notes.English(*l.Doubt, notes.CommandLine)
				}
				want := fmt.Sprintf("as in %.0f× slow motion; if it was filmed so, score it again with --capture-fps %.0f", k, c.FPS)
				switch {
				case k == 1 && strings.Contains(said, "slow motion"):
					t.Errorf("%s at true speed, height %g: %q", c.Name, height, said)
				case k > 1 && !strings.Contains(said, want):
					t.Errorf("%s %g×, height %g: %q, want %q", c.Name, k, height, said, want)
				}
			}
		}
	}
}

// With neither length nor height known the jump's fall gives the scale, within 5 % of the
// true one and within twice what it says of itself.
func TestScaleFromTheJumpsFall(t *testing.T) {
	for _, c := range clips(t) {
		if c.Task() != kinematics.CountermovementJump {
			continue
		}
		l, err := kinematics.Derive(c.Track(2), kinematics.Options{Task: c.Task()})
		if err != nil {
			t.Fatal(err)
		}
		want := 1 / c.Truth.PxPerCM["contact"]
		off := l.Scale.CMPerPx - want
		if l.Scale.From != kinematics.FromGravity || math.Abs(off) > 0.05*want || math.Abs(off) > 2*l.Scale.SD {
			t.Errorf("scale %+v, want %.4f", l.Scale, want)
		}
	}
}

// A length wrong by a fifth is called out: by the athlete's height where it is known, and
// on the jump by the fall alone.
func TestWrongKnownLengthIsCalledOut(t *testing.T) {
	for _, c := range clips(t) {
		for _, wrong := range []float64{0.8, 1, 1.25} {
			length := &kinematics.KnownLength{CM: 100, X2: 100 * c.Truth.PxPerCM["contact"] * wrong}
			l, err := kinematics.Derive(c.Track(2), kinematics.Options{Task: c.Task(), StatureCM: c.StatureCM, Length: length})
			if err != nil {
				t.Fatal(err)
			}
			if said := slices.ContainsFunc(l.Notes, func(n kinematics.Note) bool { return n.Code == kinematics.NoteScalesDiffer }); said != (wrong != 1) {
				t.Errorf("%s, length × %g: called out %v: %v", c.Name, wrong, said, l.Notes)
			}
			if c.Task() == kinematics.CountermovementJump && (l.Gravity.Verdict == kinematics.GravityDiffers) != (wrong != 1) {
				t.Errorf("%s, length × %g: gravity %+v", c.Name, wrong, l.Gravity)
			}
		}
	}
}
