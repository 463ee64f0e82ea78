package kinematics_test

import (
	"math"
	"testing"

	"steadfall/kinematics"
)

// A camera that stands beside the athlete's front adds atan(tan θ·sin ψ) of thigh and
// shank to one leg's FPPA and takes it from the other's (FACTS §2.5): the mean of both
// keeps still, each leg moves by that, and the stated standard deviation covers it.
func TestCameraYaw(t *testing.T) {
	s := dropFront()
	s.FPPADeg = map[kinematics.Side]float64{kinematics.Left: 10, kinematics.Right: 4}
	fppa := func(yaw float64) (left, right, both kinematics.Measure) {
		s.YawDeg = yaw
		tr, _ := s.Track()
		l := derive(t, tr, kinematics.Options{})
		left, _ = l.Measure("fppa_lowest", kinematics.Left)
		right, _ = l.Measure("fppa_lowest", kinematics.Right)
		both, _ = l.Measure("fppa_lowest", kinematics.Both)
		return left, right, both
	}
	left0, right0, both0 := fppa(0)
	// At the lowest point thigh and shank lean alike; half the hip's height over the
	// ankle is what is left of .2455 of the stature.
	half := (0.52*s.StatureCM - s.DepthCM - 0.039*s.StatureCM) / 2
	lean := math.Acos(half / (0.2455 * s.StatureCM))
	for _, yaw := range []float64{-10, -5, 5, 10} {
		left, right, both := fppa(yaw)
		want := 2 * math.Atan(math.Tan(lean)*math.Sin(yaw*math.Pi/180)) * 180 / math.Pi
		within(t, "mean of both legs", both.Value, both0.Value, 1)
		within(t, "right leg", right.Value-right0.Value, want, 0.1*math.Abs(want)+0.5)
		within(t, "left leg", left.Value-left0.Value, -want, 0.1*math.Abs(want)+0.5)
		for _, m := range []kinematics.Measure{left, right} {
			if math.Abs(want) > 2.5*m.SD {
				t.Errorf("yaw %+.0f°: the %s leg moves by %.1f°, but its sd is only %.1f°", yaw, m.Side, want, m.SD)
			}
		}
	}
}
