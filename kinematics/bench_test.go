package kinematics_test

import (
	"bytes"
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

// The same landing read from its file.
func BenchmarkReadTrack(b *testing.B) {
	tr, _ := dropFront().Track()
	var file bytes.Buffer
	if err := kinematics.WriteTrack(&file, tr); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := kinematics.ReadTrack(bytes.NewReader(file.Bytes()), tr.View); err != nil {
			b.Fatal(err)
		}
	}
}
