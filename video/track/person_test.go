package track

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
	"steadfall/video/pose"
)

// poseWith is a body of 400 px with its head so far from the shoulders, px, at right angles to the
// trunk and along it, and the whole bent forward by an angle. Shoulders are at .818 of the height and
// hips at .530 (Drillis and Contini 1966).
func poseWith(across, along, bentDeg float64) pose.Pose {
	sin, cos := math.Sincos(bentDeg * math.Pi / 180)
	hip := r2.Vec{X: 500, Y: 500}
	at := func(x, up float64) r2.Vec { return r2.Add(hip, r2.Vec{X: x*cos + up*sin, Y: x*sin - up*cos}) }
	const trunk = 0.288 * 400
	s := pose.Pose{Sure: 1, Points: map[kinematics.Landmark]pose.Proposal{}, Head: at(across, trunk+along)}
	for side, x := range map[kinematics.Side]float64{kinematics.Left: 40, kinematics.Right: -40} {
		s.Points[kinematics.On(side, kinematics.Shoulder)] = pose.Proposal{At: at(x, trunk), Visible: 1}
		s.Points[kinematics.On(side, kinematics.Hip)] = pose.Proposal{At: at(x, 0), Visible: 1}
	}
	return s
}

func TestAHeadWhereOneShouldBe(t *testing.T) {
	for _, c := range []struct {
		what                   string
		across, along, bentDeg float64
		want                   bool
	}{
		{"upright", 0, 0.117 * 400, 0, true},
		{"bent forward by 70°", 0, 0.117 * 400, 70, true},
		{"chin on the chest", 20, 0.05 * 400, 30, true},
		{"beside the trunk", 60, 0, 0, false},
		{"between hips and shoulders", 0, -50, 0, false},
		{"a trunk's length over the shoulders", 0, 0.3 * 400, 0, false},
	} {
		w := newWalker()
		for range leastLooks {
			s := poseWith(c.across, c.along, c.bentDeg)
			w.size(&s)
		}
		if got := w.hasHead(); got != c.want {
			t.Errorf("%s: a head %v, want %v (%.2f of the trunk over the shoulders)", c.what, got, c.want, plane.Median(w.heads))
		}
	}
}
