package kinematics_test

import (
	"testing"

	"steadfall/kinematics"
)

// One landing of 4 s at 60 frames a second with all its disturbances.
func BenchmarkDerive(b *testing.B) {
	tr, _ := dropFront().Track()
	for b.Loop() {
		if _, err := kinematics.Derive(tr, kinematics.Options{Task: kinematics.DropLanding, StatureCM: 175}); err != nil {
			b.Fatal(err)
		}
	}
}
