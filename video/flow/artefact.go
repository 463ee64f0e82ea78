package flow

import (
	"math"

	"steadfall/kinematics"
)

// stepFloorPx is the standard deviation of a step of a point that hardly moves. It and the artefacts
// are calibrated against the clips with exact truth (docs/numbers.md, "How sure is a tracked point").
const stepFloorPx = 0.08

// clickArtefact is the soft-tissue artefact, how much the picture slides over a joint as it moves,
// where the grid set out from a point placed by hand: a variance for each pixel of the way, as a
// share of the body height. A shoe hardly slides.
var clickArtefact = map[kinematics.Part]float64{
	kinematics.Shoulder: 0.0012,
	kinematics.Hip:      0.0012,
	kinematics.Knee:     0.0012,
	kinematics.Ankle:    0.0012,
	kinematics.Heel:     0.0002,
	kinematics.Toe:      0.0002,
}

// netArtefact is the same where the grid keeps near the net's points, told from how far the
// flow over 0.1 s misses the exact truth of the rendered clips. Heel and toe miss by more, but
// always the same way in a landing, and must move together for their contact to be timed.
// From the side the thigh turns about the hip, and the arm hangs before it.
func netArtefact(view kinematics.View) map[kinematics.Part]float64 {
	hip := 0.0008
	if view.IsSide() {
		hip = 0.0025
	}
	return map[kinematics.Part]float64{
		kinematics.Shoulder: 0.0001,
		kinematics.Hip:      hip,
		kinematics.Knee:     0.0012,
		kinematics.Ankle:    0.0003,
		kinematics.Heel:     0.0002,
		kinematics.Toe:      0.0002,
	}
}

// stepSD is the standard deviation of a step of that length whose fit repeats to
// fit. Cloth and skin slip over a joint as it bends, always the same way during
// one movement, so the variance grows with the path rather than with its square.
func (f Flow) stepSD(p kinematics.Part, length, fit float64) float64 {
	return math.Sqrt(stepFloorPx*stepFloorPx + f.Artefact(p, length) + fit*fit)
}

// Artefact is the variance that soft-tissue artefact, the slipping of cloth and skin, adds over
// so long a way, px².
func (f Flow) Artefact(p kinematics.Part, length float64) float64 {
	return f.artefact[p] * f.body * length
}
