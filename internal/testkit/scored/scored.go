// Package scored measures and scores simulated landings, for tests of what comes after.
package scored

import (
	"testing"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// Landing is a simulated drop landing on two feet and what was found of it.
type Landing struct {
	Track     kinematics.Track
	Options   kinematics.Options
	Checklist scoring.Checklist
	Result    scoring.Result
}

// Simulate measures and scores a landing by the list for two feet; change may alter its
// track first, and be nil.
func Simulate(t testing.TB, l simulated.Landing, change func(kinematics.Track)) Landing {
	t.Helper()
	out := Landing{Options: kinematics.Options{Task: kinematics.DropLanding, Limb: kinematics.Both, StatureCM: l.StatureCM, Seed: 1}}
	out.Track, _ = l.Track()
	if change != nil {
		change(out.Track)
	}
	landing, err := kinematics.Derive(out.Track, out.Options)
	if err != nil {
		t.Fatal(err)
	}
	if out.Checklist, err = scoring.Load(scoring.Default(2)); err != nil {
		t.Fatal(err)
	}
	ls := []kinematics.Landing{landing}
	out.Result = scoring.NewResult(out.Options.Task, out.Options.Limb, ls, scoring.Apply(out.Checklist, ls))
	out.Result.Tool, out.Result.HeightCM = "steadfall test", l.StatureCM
	return out
}
