package scoring_test

import (
	"errors"
	"strings"
	"testing"

	"steadfall/scoring"
)

// Every number of a checklist and a ladder that is none, is out of its range or is left empty
// is refused with its line. An empty threshold counted as 0, .nan as a threshold that nothing
// crosses, and an empty pain_at_most as pain not asked for.
func TestNumbersAreRefused(t *testing.T) {
	list, err := scoring.Bundled("two-foot-landing")
	if err != nil {
		t.Fatal(err)
	}
	ladder, err := scoring.BundledLadder(scoring.DefaultLadder)
	if err != nil {
		t.Fatal(err)
	}
	parse := map[string]func([]byte) error{
		string(list):   func(b []byte) error { _, err := scoring.Parse(b); return err },
		string(ladder): func(b []byte) error { _, err := scoring.ParseLadder(b); return err },
	}
	try := func(text []byte, from, to, why string) {
		t.Helper()
		before, _, found := strings.Cut(string(text), from)
		if !found {
			t.Fatalf("no %q", from)
		}
		err := parse[string(text)]([]byte(strings.Replace(string(text), from, to, 1)))
		var le *scoring.LineError
		if !errors.As(err, &le) || !strings.Contains(le.Why, why) || strings.Contains(le.Why, "strconv") {
			t.Errorf("%q for %q: %v, want a line and %q", to, from, err, why)
			return
		}
		if line := strings.Count(before, "\n") + 1; to != "" && le.Line != line {
			t.Errorf("%q for %q: line %d, want %d", to, from, le.Line, line)
		}
	}
	for _, bad := range []string{".nan", ".inf", "-.inf", "1e999", "-1e999", "1e300", "", "null", "~", "ten", "[1]", "99999999999999999999"} {
		try(list, "threshold: 10", "threshold: "+bad, "")
		try(list, "points: 1", "points: "+bad, "")
		for _, field := range []string{"chance: 0.2", "pain_above: 2", "sessions: 2", "clear_trials: 2", "hold_s: 2", "pain_at_most: 1"} {
			name, _, _ := strings.Cut(field, ":")
			try(ladder, field, name+": "+bad, "")
		}
		if bad != "" && bad != "[1]" {
			try(ladder, "percent: 10", "percent: "+bad, "")
		}
	}
	try(list, "threshold: 10\n", "threshold:\n", "threshold is empty; give it a value, or remove the line")
	try(list, "    threshold: 10\n", "", `item "knee-inside-toe": has no threshold`)
	try(list, "threshold: 1.5", "threshold: -1.5", "must be a number between 0 and 10000 (")
	try(list, "threshold: 10", "threshold: .nan", "must be a number between -180 and 180 (deg), not NaN")
	try(ladder, "hold_s: 2", "hold_s: -2", "hold_s must be between 0 and 60 seconds, not -2")
	try(ladder, "hold_s: 2", "hold_s: .nan", "hold_s must be between 0 and 60 seconds, not NaN")
	try(ladder, "pain_above: 2", "pain_above: -1", "pain_above must be a whole number from 0 to 10")
	try(ladder, "pain_at_most: 1", "pain_at_most: -1", "pain_at_most must be a whole number from 0 to 10")
	try(ladder, "pain_at_most: 1", "pain_at_most:", "pain_at_most is empty")
}
