package synthetic_test

import (
	"math"
	"testing"

	"steadfall/internal/testkit/synthetic"
	"steadfall/kinematics"
)

// kneeBend is the largest knee flexion of the near leg that a track gives, deg.
func kneeBend(t *testing.T, c synthetic.Truth, tr kinematics.Track, limb kinematics.Side) float64 {
	t.Helper()
	l, err := kinematics.Derive(tr, kinematics.Options{Task: c.Task(), StatureCM: c.StatureCM, Limb: limb})
	if err != nil {
		t.Fatalf("%s: %v", c.Name, err)
	}
	m, ok := l.Measure("knee_flexion_peak", c.View.Near())
	if !ok {
		t.Fatalf("%s: no knee flexion", c.Name)
	}
	return m.Value
}

// From the true points of the rendered side clips the near knee's largest bend is the
// truth's 3-D angle to 0.6°, though the picture shows 50° less where the knee leaves the side
// plane; also where the near leg hides the far one, which is on the floor all the same and
// tells that the feet landed wider apart than they stood.
func TestKneeBendThatThePictureDoesNotShow(t *testing.T) {
	for _, c := range clips(t) {
		if !c.View.IsSide() {
			continue
		}
		near := c.View.Near()
		want := c.Truth.KneeFlexion[string(near)]
		for _, hidden := range []bool{false, true} {
			tr := c.Track(2)
			if hidden {
				for _, p := range kinematics.Parts {
					far := tr.Points[kinematics.On(near.Other(), p)]
					for i := range far {
						far[i] = kinematics.Unseen()
					}
				}
			}
			if got := kneeBend(t, c, tr, kinematics.Both); math.Abs(got-want) > 0.6 {
				t.Errorf("%s, far leg hidden %v: %.1f°, want %.1f°", c.Name, hidden, got, want)
			}
		}
	}
}

// On one foot there is no other that could have parted from it: a far leg held up, or a leg
// that was named to land on, gives a smaller bend than two feet on the floor.
func TestOneFootDoesNotPartFromTheOther(t *testing.T) {
	for _, c := range clips(t) {
		if c.Name != "two_foot_steady_side" {
			continue
		}
		near := c.View.Near()
		held := c.Track(2)
		for _, p := range []kinematics.Part{kinematics.Ankle, kinematics.Heel, kinematics.Toe} {
			far := held.Points[kinematics.On(near.Other(), p)]
			for i := range far {
				far[i].Y -= 0.2 * c.BodyPx()
			}
		}
		both, up, named := kneeBend(t, c, c.Track(2), kinematics.Both), kneeBend(t, c, held, kinematics.Both), kneeBend(t, c, c.Track(2), near)
		if up > both-1 || named > both-1 {
			t.Errorf("on two feet %.1f°, far foot held up %.1f°, near leg named %.1f°", both, up, named)
		}
	}
}
