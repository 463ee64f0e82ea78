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

// When the athlete is still does not hang on where the pictures fall in the movement: at few a
// second none may fall where the hips turn from sinking to rising, and the hold began 0.27 s late.
func TestStillAtEveryPhase(t *testing.T) {
	for _, fps := range []float64{24, 25, 30, 60} {
		for _, depth := range []float64{12, 28} {
			first, last := math.Inf(1), math.Inf(-1)
			for k := range 6 {
				s := dropFront()
				s.FPS, s.DepthCM = fps*(1+0.002*float64(k)), depth
				tr, truth := s.Track()
				m, ok := derive(t, tr, kinematics.Options{}).Measure("time_to_still", kinematics.Both)
				if !ok {
					t.Fatalf("%g a second, %g cm deep: never still", s.FPS, depth)
				}
				after := m.Value - (truth.LowestS - truth.ContactS)
				first, last = math.Min(first, after), math.Max(last, after)
			}
			if last-first > 1.5/fps {
				t.Errorf("%g a second, %g cm deep: still from %.3f to %.3f s after the lowest point", fps, depth, first, last)
			}
		}
	}
}
