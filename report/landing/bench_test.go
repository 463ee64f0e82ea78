package landing_test

import (
	"io"
	"testing"

	"steadfall/report/landing"
)

// The report of a landing, but for its pictures.
func BenchmarkWrite(b *testing.B) {
	p := trialPage(b)
	for b.Loop() {
		if err := landing.Write(io.Discard, p); err != nil {
			b.Fatal(err)
		}
	}
}
