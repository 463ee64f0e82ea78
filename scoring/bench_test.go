package scoring_test

import (
	"testing"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// A measured landing scored by the list for two feet.
func BenchmarkApply(b *testing.B) {
	sim := simulated.Landing{View: kinematics.Front, FPS: 60, StatureCM: 172, PxPerCM: 5, BoxCM: 30, DepthCM: 20, HoldS: 3, SD: 1.5}
	track, _ := sim.Track()
	landing, err := kinematics.Derive(track, kinematics.Options{Task: kinematics.DropLanding, StatureCM: 172})
	if err != nil {
		b.Fatal(err)
	}
	list, err := scoring.Load(scoring.Default(2))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		scoring.Apply(list, []kinematics.Landing{landing})
	}
}
