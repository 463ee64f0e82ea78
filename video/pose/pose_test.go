package pose

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

func TestMergedGuesses(t *testing.T) {
	one := guess{score: 0.9, box: [4]float64{0, 0, 0.4, 0.8}, centre: r2.Vec{X: 0.2, Y: 0.4}, top: r2.Vec{X: 0.2, Y: 0}}
	near := guess{score: 0.6, box: [4]float64{0.02, 0, 0.42, 0.8}, centre: r2.Vec{X: 0.22, Y: 0.4}, top: r2.Vec{X: 0.22, Y: 0}}
	other := guess{score: 0.7, box: [4]float64{0.6, 0, 1, 0.8}, centre: r2.Vec{X: 0.8, Y: 0.4}, top: r2.Vec{X: 0.8, Y: 0}}
	got := merged([]guess{near, other, one})
	if len(got) != 2 || got[0].score != 0.9 || got[1].score != 0.7 {
		t.Fatalf("%+v", got)
	}
	if want := (0.9*0.2 + 0.6*0.22) / 1.5; math.Abs(got[0].centre.X-want) > 1e-12 {
		t.Errorf("the centre is at %v, want %v", got[0].centre.X, want)
	}
}

// An upright person's region is not turned; one who lies to the right is turned by 90°.
func TestRegionOf(t *testing.T) {
	up := regionOf(r2.Vec{X: 100, Y: 200}, r2.Vec{X: 100, Y: 120})
	if up.Mid != (r2.Vec{X: 100, Y: 200}) || math.Abs(up.Side-200) > 1e-9 || math.Abs(up.Angle) > 1e-9 {
		t.Errorf("%+v", up)
	}
	if lying := regionOf(r2.Vec{X: 100, Y: 200}, r2.Vec{X: 180, Y: 200}); math.Abs(lying.Angle-math.Pi/2) > 1e-9 {
		t.Errorf("%+v", lying)
	}
}

// The weighted middle of a heat map is the middle of its peak.
func TestRefined(t *testing.T) {
	heat := make([]float32, heatSide*heatSide)
	for i := range heat {
		heat[i] = -20
	}
	heat[10*heatSide+20], heat[10*heatSide+21] = 4, 4
	if u, v := refined(heat, 83, 41); math.Abs(u-82) > 1e-6 || math.Abs(v-40) > 1e-6 {
		t.Errorf("%v, %v", u, v)
	}
	if u, v := refined(heat, 200, 200); u != 200 || v != 200 { // no peak there
		t.Errorf("%v, %v", u, v)
	}
}
