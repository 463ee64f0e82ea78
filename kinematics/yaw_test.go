package kinematics_test

import (
	"math"
	"testing"

	"steadfall/kinematics"
)

// A camera that stands beside the athlete's front adds atan(tan θ·sin ψ) of thigh and
// shank to one leg's FPPA and takes it from the other's (docs/sources.md, Camera yaw): the
// mean of both keeps still, each leg moves by that, and the stated standard deviation covers it.
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

// A camera squared to a line narrows each leg's standard deviation, and it still covers what
// a yaw of that size does.
func TestSquareCamera(t *testing.T) {
	s := dropFront()
	s.FPPADeg = map[kinematics.Side]float64{kinematics.Left: 5, kinematics.Right: 5}
	measured := func(yaw, square float64) kinematics.Measure {
		s.YawDeg = yaw
		tr, _ := s.Track()
		for i := range tr.Points["left_heel"] { // so that the feet's directions do not tell
			tr.Points["left_heel"][i] = kinematics.Unseen()
		}
		m, _ := derive(t, tr, kinematics.Options{SquareDeg: square}).Measure("fppa_lowest", kinematics.Left)
		return m
	}
	unknown, squared := measured(0, 0), measured(0, 1)
	if !(squared.SD < 0.55*unknown.SD) {
		t.Errorf("squared ±%.1f°, unknown ±%.1f°", squared.SD, unknown.SD)
	}
	for _, yaw := range []float64{-2.2, 2.2} { // one standard deviation of camera and standing
		if off := math.Abs(measured(yaw, 1).Value - squared.Value); off > 1.1*squared.SD {
			t.Errorf("yaw %+.1f° moves the knee by %.1f°, stated ±%.1f°", yaw, off, squared.SD)
		}
	}
}

// A track read from a file does not say how large the pictures were. That is one more
// doubt, and no athlete far beside the middle.
func TestPictureOfUnknownSize(t *testing.T) {
	s := dropFront()
	s.Limb = kinematics.Right // on one foot, whose direction alone does not tell the yaw
	tr, _ := s.Track()
	known := derive(t, tr, kinematics.Options{Limb: kinematics.Right})
	tr.Width, tr.Height = 0, 0
	unknown := derive(t, tr, kinematics.Options{Limb: kinematics.Right})
	if !(unknown.YawSDDeg > known.YawSDDeg && unknown.YawSDDeg < 6.5) {
		t.Errorf("yaw ±%.1f° with the size, ±%.1f° without", known.YawSDDeg, unknown.YawSDDeg)
	}
	if noted(unknown, kinematics.NoteOffAxis) {
		t.Error(unknown.Notes)
	}
}
