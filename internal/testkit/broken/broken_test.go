package broken_test

import (
	"testing"

	"steadfall/internal/testkit/broken"
)

// Of landings whose tracks are broken in one of a dozen ways no more sure findings, and no more
// trials that count towards a step, are denied by the truth than is stated: 5 % of sure findings,
// one in five of the trials that a rule lets through. Ten thousand draws: go run ./internal/tools/bench
// -table broken.
func TestBrokenTracks(t *testing.T) {
	all, err := broken.Counts(t.Context(), 160, nil)
	if err != nil {
		t.Fatal(err)
	}
	sure, counted := 0, 0
	for _, c := range all {
		t.Logf("%+v", c)
		sure, counted = sure+c.Sure, counted+c.Counted
		if c.Beyond() {
			t.Errorf("broken by %q: the truth denies %d of %d sure findings, %d of %d trials that count", c.Broken, c.Denied, c.Sure, c.CountedBad, c.Counted)
		}
	}
	if sure < 60 || counted < 3 {
		t.Errorf("%d sure findings and %d trials that count are too few to tell", sure, counted)
	}
}
