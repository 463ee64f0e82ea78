package scoring_test

import (
	"strings"
	"testing"

	"steadfall/kinematics"
	"steadfall/scoring"
)

func contactAt(task kinematics.Task, limb kinematics.Side, s float64) scoring.Result {
	return scoring.Result{Task: task, Limb: limb, Views: []scoring.ViewResult{{
		View: kinematics.Front, Events: []kinematics.Event{{Name: kinematics.InitialContact, Side: limb, TimeS: s}},
	}}}
}

// One trial is one trial: the same one twice, others' tasks and other legs are not joined.
func TestOnlyTrialsOfOneKindAreJoined(t *testing.T) {
	drop := kinematics.DropLanding
	for _, c := range []struct {
		name  string
		given []scoring.Result
		mixed bool
		want  string
	}{
		{"two", []scoring.Result{contactAt(drop, both, 1), contactAt(drop, both, 1.1)}, false, ""},
		{"one twice", []scoring.Result{contactAt(drop, both, 1), contactAt(drop, both, 1.1), contactAt(drop, both, 1)}, false, `"a" and "c" are the same trial`},
		{"legs", []scoring.Result{contactAt(drop, left, 1), contactAt(drop, right, 1.1)}, false, "on the left foot and"},
		{"tasks", []scoring.Result{contactAt(drop, both, 1), contactAt(kinematics.SquatJump, both, 1.1)}, true, "a drop-landing and"},
		{"jumps", []scoring.Result{contactAt(kinematics.CountermovementJump, both, 1), contactAt(kinematics.SquatJump, both, 1.1)}, true, ""},
		{"jumps, to be compared", []scoring.Result{contactAt(kinematics.CountermovementJump, both, 1), contactAt(kinematics.SquatJump, both, 1.1)}, false, "a countermovement-jump and"},
	} {
		err := scoring.OneKind(c.given, []string{"a", "b", "c"}, c.mixed)
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// No error in what was not seen is none.
func TestTrialsOfWhichNothingWasSeen(t *testing.T) {
	seen := scoring.Score{Checklist: "a", Most: 3, Expected: 2, Low: 2, High: 2}
	unseen := scoring.Score{Checklist: "a"}
	got, err := scoring.Join([]scoring.Score{seen, unseen})
	if err != nil || got.Trials != 1 || got.Mean != 2 {
		t.Errorf("%+v %v", got, err)
	}
	if _, err := scoring.Join([]scoring.Score{unseen, unseen}); err == nil {
		t.Error("trials of which nothing was seen were joined")
	}
}
