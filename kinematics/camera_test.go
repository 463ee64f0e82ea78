package kinematics_test

import (
	"math"
	"testing"

	"steadfall/kinematics"
)

// A camera turned by 6° leans the trunk by as much; an upright line of the picture, which
// leans alike, takes it out again. The line's ends are put on the turned picture by the
// law of rotation.
func TestRollIsTakenOutByAnUprightLine(t *testing.T) {
	s := dropFront()
	s.LeanDeg, s.RollDeg = 2, 6
	tr, _ := s.Track()
	turned := derive(t, tr, kinematics.Options{})
	sin, cos := math.Sincos(6 * math.Pi / 180)
	plumb := &kinematics.Plumb{X1: 100 + 600*sin, Y1: 200, X2: 100, Y2: 200 + 600*cos}
	straight := derive(t, tr, kinematics.Options{Plumb: plumb})
	within(t, "roll", plumb.RollDeg(), 6, 1e-9)
	a, _ := turned.Measure("trunk_lean", kinematics.Both)
	b, _ := straight.Measure("trunk_lean", kinematics.Both)
	within(t, "lean, turned", a.Value, 2-6, 0.3)
	within(t, "lean, straight", b.Value, 2, 0.3)
	if a.SD <= b.SD {
		t.Errorf("sd %.2f with the roll unknown, %.2f with it known", a.SD, b.SD)
	}
	if !noted(turned, kinematics.NoteLeans) {
		t.Errorf("the lean while standing was not called out: %v", turned.Notes)
	}
	if noted(straight, kinematics.NoteLeans) {
		t.Errorf("still called out: %v", straight.Notes)
	}
}

// From a box of 30 cm a fall takes 0.247 s, t = √(2h/g) (computed: docs/sources.md, Flight and
// fall). The simulation falls so far; a box said to be 80 cm high would take 0.40 s.
func TestBoxHeightAgainstTheFall(t *testing.T) {
	tr, _ := dropFront().Track()
	for box, said := range map[float64]bool{0: false, 30: false, 80: true} {
		l := derive(t, tr, kinematics.Options{BoxCM: box})
		if got := noted(l, kinematics.NoteBoxTime); got != said {
			t.Errorf("box of %g cm: called out %v, want %v: %v", box, got, said, l.Notes)
		}
	}
}

// Far beside the middle of the picture bent knees look moved outwards, and that is said.
func TestStandingBesideTheMiddleIsCalledOut(t *testing.T) {
	tr, _ := dropFront().Track()
	for shift, said := range map[float64]bool{0: false, 400: true} {
		aside := moved(tr, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) {
			p.X += shift
			return l, p
		}, func(s float64) float64 { return s })
		l := derive(t, aside, kinematics.Options{})
		if got := noted(l, kinematics.NoteOffAxis); got != said {
			t.Errorf("moved by %g px: called out %v, want %v", shift, got, said)
		}
	}
}
