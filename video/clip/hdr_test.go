package clip

import (
	"math"
	"testing"
)

// Signals and light that ITU-R BT.2408-7, table 1, gives for a display of 1000 cd/m², and the
// ends of both functions (ITU-R BT.2100-2, tables 4 and 5). The table is rounded to percents.
func TestLightOfPublishedSignals(t *testing.T) {
	for _, c := range []struct {
		name        string
		hlg         bool
		signal      float64
		light, most float64 // cd/m², and how far off
	}{
		{"HLG, reference white", true, 0.75, 203, 1},
		{"HLG, peak", true, 1, 1000, 0.1},
		{"HLG, black", true, 0, 0, 1e-9},
		{"HLG, 18 % grey card", true, 0.38, 26, 1},
		{"PQ, reference white", false, 0.58, 203, 3},
		{"PQ, 18 % grey card", false, 0.38, 26, 1},
		{"PQ, 1000 cd/m²", false, 0.751827, 1000, 0.1},
		{"PQ, peak", false, 1, 10000, 0.1},
		{"PQ, black", false, 0, 0, 1e-9},
	} {
		got := pqLight(c.signal)
		if c.hlg {
			got = hlgLight([3]float64{c.signal, c.signal, c.signal})[1]
		}
		if math.Abs(got-c.light) > c.most {
			t.Errorf("%s: %.2f cd/m², want %.2f", c.name, got, c.light)
		}
		if !c.hlg && math.Abs(pqSignal(got)-c.signal) > 2e-6 {
			t.Errorf("%s: there and back gives %.6f", c.name, pqSignal(got))
		}
	}
}

// Pressing light together leaves what is darker than the knee of ITU-R BT.2390-11 §5.4.1 as it
// is, never turns brighter into darker, and ends at the ordinary white.
func TestPressedLight(t *testing.T) {
	for _, light := range []float64{0, 1, 26, 60, 85} {
		if got := pressed(light); math.Abs(got-light) > 1e-6*math.Max(light, 1) {
			t.Errorf("%.0f cd/m² becomes %.3f", light, got)
		}
	}
	before := -1.0
	for light := 0.0; light <= 2000; light += 5 {
		got := pressed(light)
		if got < before || got > paperWhite+1e-6 {
			t.Errorf("%.0f cd/m² becomes %.3f after %.3f", light, got, before)
		}
		before = got
	}
	if math.Abs(before-paperWhite) > 1e-6 {
		t.Errorf("the brightest becomes %.3f cd/m²", before)
	}
}

// Grey stays grey: the matrix from BT.2020 to BT.709 keeps white (ITU-R BT.2087-0), and is
// the inverse of the one that is printed there.
func TestNarrowedColours(t *testing.T) {
	if w := narrowed([3]float64{1, 1, 1}); math.Abs(w[0]-1) > 1e-5 || math.Abs(w[1]-1) > 1e-5 || math.Abs(w[2]-1) > 1e-5 {
		t.Errorf("white becomes %v", w)
	}
	wide := func(r, g, b float64) [3]float64 {
		return [3]float64{0.6274*r + 0.3293*g + 0.0433*b, 0.0691*r + 0.9195*g + 0.0114*b, 0.0164*r + 0.0880*g + 0.8956*b}
	}
	for _, c := range [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0.8, 0.5, 0.4}} {
		got := narrowed(wide(c[0], c[1], c[2]))
		for i := range got {
			if math.Abs(got[i]-c[i]) > 2e-4 {
				t.Errorf("%v becomes %v", c, got)
			}
		}
	}
}
