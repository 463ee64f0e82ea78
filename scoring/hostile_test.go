package scoring_test

import (
	"errors"
	"runtime"
	"strings"
	"testing"

	"steadfall/scoring"
)

// A short text that nests costs no more memory than any other: 20 kB of brackets took
// 600 MB, 100 kB of them over 10 GB.
func TestNestedTextCostsLittle(t *testing.T) {
	for _, unit := range []string{"[", "{a: ", "- ", "- [", "[[],", "<<: {"} {
		text := []byte("name: x\nitems:\n" + strings.Repeat(unit, 20000/len(unit)))
		for what, parse := range map[string]func([]byte) error{
			"checklist": func(b []byte) error { _, err := scoring.Parse(b); return err },
			"ladder":    func(b []byte) error { _, err := scoring.ParseLadder(b); return err },
		} {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			err := parse(text)
			runtime.ReadMemStats(&after)
			var line *scoring.LineError
			if !errors.As(err, &line) || line.Line != 3 || !strings.Contains(line.Why, "nests more than 32 levels") {
				t.Errorf("%s of %q: %v", what, unit, err)
			}
			if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 30 {
				t.Errorf("%s of %q: %d MB", what, unit, took)
			}
		}
	}
	if _, err := scoring.ParseResult([]byte(`{"schema": 1, "score": ` + strings.Repeat("[", 9000))); err == nil || !strings.Contains(err.Error(), "nests more than 32 levels") {
		t.Errorf("a result: %v", err)
	}
}
