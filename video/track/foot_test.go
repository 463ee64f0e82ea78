package track

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// An athlete of 500 px stands on a box, toe, heel and ankle in the places that a shoe of .152
// and an ankle at .039 of the height give them (Drillis and Contini 1966), and lands on the
// floor 80 px below, where the net has the ankle 5 px too low. A flat foot puts it back; one
// whose heel is up by 4.5 % of the height, and one that is not seen to rest, keep what the net says.
func TestAnklesKeepTheirHeightOnAFlatFoot(t *testing.T) {
	const body, low = 500, 5
	for _, c := range []struct {
		name  string
		heel  float64 // how far it is up on the floor, px
		rests bool
		off   float64 // what is left of the ankle's error, px
	}{
		{"flat", 0, true, 0},
		{"hardly up", 0.012 * body, true, 0},
		{"half believed", 0.0225 * body, true, low / 2.},
		{"on the toes", 0.045 * body, true, low},
		{"in the air", 0, false, low},
	} {
		ankles, toes, heels, bends := map[int]r2.Vec{}, map[int]r2.Vec{}, map[int]r2.Vec{}, map[int]float64{}
		for n := range 20 {
			floor, heel, err := 400., 0., 0.
			if n >= 10 {
				floor, heel, err, bends[n] = 480, c.heel, low, 0.2
			}
			ankles[n] = r2.Vec{X: 220, Y: floor - 0.039*body + err}
			if n < 10 || c.rests {
				toes[n], heels[n] = r2.Vec{X: 220 + 0.1*body, Y: floor}, r2.Vec{X: 220 - 0.05*body, Y: floor - heel}
			}
		}
		for n, at := range evenFoot(ankles, toes, heels, bends, body) {
			want := 400 - 0.039*body
			if n >= 10 {
				want += 80 + c.off
			}
			if math.Abs(at.Y-want) > 1e-9 {
				t.Errorf("%s, frame %d: the ankle is at %.2f px, want %.2f", c.name, n, at.Y, want)
			}
		}
	}
}

// Where no look shows the foot resting on straight legs there is nothing to compare with.
func TestAnklesStayWhereNobodyStands(t *testing.T) {
	ankles := map[int]r2.Vec{0: {X: 220, Y: 380}, 1: {X: 220, Y: 460}}
	toes, heels := map[int]r2.Vec{1: {X: 270, Y: 480}}, map[int]r2.Vec{1: {X: 195, Y: 480}}
	for n, at := range evenFoot(ankles, toes, heels, map[int]float64{0: 0, 1: 0.2}, 500) {
		if at != ankles[n] {
			t.Errorf("frame %d: moved to %v", n, at)
		}
	}
}
