package archive_test

import (
	"context"
	"fmt"
	"testing"

	"steadfall/internal/archive"
	"steadfall/internal/standing"
	"steadfall/scoring"
)

// Where each of 40 athletes with five trials stands.
func BenchmarkStandings(b *testing.B) {
	ctx := context.Background()
	var squad []archive.Athlete
	for n := range 40 {
		squad = append(squad, archive.Athlete{Code: fmt.Sprintf("A%02d", n)})
	}
	a, _, day := newArchive(b, squad...)
	r := landing(b, 12)
	for _, who := range squad {
		for n := range 5 {
			add(b, a, r, who.Code, day, n+1)
		}
	}
	l, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := standing.All(ctx, a, l); err != nil {
			b.Fatal(err)
		}
	}
}
