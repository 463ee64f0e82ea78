package scoring_test

import (
	"math"
	"testing"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// A person's word takes the place of a finding, the last word counts, the tool's stays
// beside it, and the totals move by just that: an item of two points at a chance of 0.4 gave
// 0.8 to the expected total, and gives 2 or nothing when somebody says so.
func TestOverride(t *testing.T) {
	p := 0.4
	tool := scoring.Score{Errors: 1, Expected: 1.8, Low: 1, High: 3, Most: 3, Items: []scoring.Finding{
		{ID: "stiff", Side: kinematics.Left, Finding: scoring.TooClose, Worth: 2, Probability: &p},
		{ID: "stiff", Side: kinematics.Right, Finding: scoring.Error, Worth: 1, Points: 1, Probability: chance(1)},
		{ID: "impression", Side: kinematics.Both, Finding: scoring.ForRater, Worth: 2},
	}}
	say := func(id string, side kinematics.Side, v scoring.Verdict) scoring.Override {
		return scoring.Override{Item: id, Side: side, Finding: v, Reason: "seen", By: "Reed"}
	}
	for _, c := range []struct {
		name     string
		words    []scoring.Override
		errors   int
		expected float64
		most     int
	}{
		{"shown", []scoring.Override{say("stiff", kinematics.Left, scoring.Error)}, 3, 3, 3},
		{"not shown", []scoring.Override{say("stiff", kinematics.Left, scoring.Clear)}, 1, 1, 3},
		{"the last word", []scoring.Override{say("stiff", kinematics.Left, scoring.Error), say("stiff", kinematics.Left, scoring.Clear)}, 1, 1, 3},
		{"a sure error taken back", []scoring.Override{say("stiff", kinematics.Right, scoring.Clear)}, 0, 0.8, 3},
		{"a rater's item answered", []scoring.Override{say("impression", kinematics.Both, scoring.Error)}, 3, 3.8, 5},
		{"nothing of the kind", []scoring.Override{say("handstand", kinematics.Both, scoring.Error)}, 1, 1.8, 3},
	} {
		got := tool.Overridden(c.words)
		if got.Errors != c.errors || math.Abs(got.Expected-c.expected) > 1e-12 || got.Most != c.most {
			t.Errorf("%s: %d errors, expected %.1f of %d; want %d, %.1f, %d", c.name, got.Errors, got.Expected, got.Most, c.errors, c.expected, c.most)
		}
	}
	got := tool.Overridden([]scoring.Override{say("stiff", kinematics.Left, scoring.Error), say("stiff", kinematics.Left, scoring.Clear)})
	if f := got.Items[0]; f.Tool != scoring.TooClose || f.Override == nil || f.Finding != scoring.Clear {
		t.Errorf("%+v; want the tool's word beside the person's", f)
	}
	if tool.Items[0].Override != nil || tool.Errors != 1 {
		t.Error("the tool's own score was changed")
	}
}
