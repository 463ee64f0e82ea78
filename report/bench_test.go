package report_test

import (
	"io"
	"testing"

	"steadfall/report"
)

// The report of a landing, but for its pictures.
func BenchmarkWrite(b *testing.B) {
	p := trialPage(b)
	for b.Loop() {
		if err := report.Write(io.Discard, p); err != nil {
			b.Fatal(err)
		}
	}
}
