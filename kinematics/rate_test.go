package kinematics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
)

// The bend of the knee at contact, where it begins to bend fast, is not told larger the lower the
// rate is. The simulated leg is straight but for what keeps the hips at 0.52 of stature, so that its
// bend is known: thigh and shank of 0.2455 of it, the ankle at 0.039.
func TestKneeAtContactAtEveryRate(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	want := 180 - 2*math.Asin((0.52-0.039)/(2*0.2455))*180/math.Pi
	for _, fps := range []float64{24, 30, 60, 120, 240} {
		for range 8 {
			s := simulated.Landing{
				View: kinematics.SideRight, FPS: fps * (1 + 0.02*rng.Float64()), StatureCM: 175, PxPerCM: 4.2,
				BoxCM: 20 + 25*rng.Float64(), DepthCM: 12 + 15*rng.Float64(), HoldS: 3, SD: 1,
			}
			tr, _ := s.Track()
			m, ok := derive(t, tr, kinematics.Options{}).Measure("knee_flexion_contact", kinematics.Right)
			if !ok || math.Abs(m.Value-want) > math.Min(2, 2*m.SD) {
				t.Errorf("%.1f a second: %.2f ± %.2f°, want %.2f°", s.FPS, m.Value, m.SD, want)
			}
		}
	}
}
