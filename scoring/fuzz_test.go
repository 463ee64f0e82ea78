package scoring_test

import (
	"errors"
	"testing"

	"steadfall/scoring"
)

// Whatever a checklist or a ladder holds, reading it gives one that can be used, or a line
// and what is wrong there.
func FuzzParse(f *testing.F) {
	for _, name := range scoring.Names() {
		data, err := scoring.Bundled(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte("name: [\n"))
	f.Add([]byte("&a [*a]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		_, err := scoring.Parse(data)
		named(t, err)
	})
}

func FuzzParseLadder(f *testing.F) {
	data, err := scoring.BundledLadder(scoring.DefaultLadder)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte("steps: {}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := scoring.ParseLadder(data)
		named(t, err)
		if err != nil {
			return
		}
		for _, s := range l.Steps { // usable: nothing done is not yet
			if got := l.Stand(s, nil, nil); got.Verdict != scoring.NotYet {
				t.Errorf("with nothing done: %s", got.Verdict)
			}
		}
	})
}

func named(t *testing.T, err error) {
	t.Helper()
	var line *scoring.LineError
	if err != nil && (!errors.As(err, &line) || line.Line < 1 || line.Why == "") {
		t.Errorf("%v names no line", err)
	}
}
