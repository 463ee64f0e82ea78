package scoring

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.5f, want %.5f", what, got, want)
	}
}

// The example of Shrout and Fleiss 1979 (Psychol Bull 86:420, Tables 2 to 4): published
// to two decimals, here as recomputed to four (docs/sources.md, Agreement).
func TestICCOfShroutAndFleiss(t *testing.T) {
	c, err := NewICC([][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ICC(1,1)", c.OneSingle, 0.1657, 5e-5)
	near(t, "ICC(2,1)", c.TwoSingle, 0.2898, 5e-5)
	near(t, "ICC(3,1)", c.ThreeSingle, 0.7148, 5e-5)
	near(t, "ICC(1,4)", c.OneMean, 0.4428, 5e-5)
	near(t, "ICC(2,4)", c.TwoMean, 0.6201, 5e-5)
	near(t, "ICC(3,4)", c.ThreeMean, 0.9093, 5e-5)
	near(t, "lower limit of (2,1)", c.TwoSingleLow, 0.019, 5e-4)
	near(t, "upper limit of (2,1)", c.TwoSingleHigh, 0.761, 5e-4)
	near(t, "SEM of agreement", c.SEMAgreement, 2.503, 5e-4)
	near(t, "SEM of consistency", c.SEMConsistency, 1.010, 5e-4)
}

func TestICCRefusesWhatItCannotTell(t *testing.T) {
	for what, r := range map[string][][]float64{
		"nothing": nil, "one target": {{1, 2}}, "one rater": {{1}, {2}}, "a gap": {{1, 2}, {3}},
		"no variation": {{2, 2}, {2, 2}}, "not a number": {{1, math.NaN()}, {2, 3}},
	} {
		if _, err := NewICC(r); err == nil {
			t.Errorf("%s was accepted", what)
		}
	}
}

// Two worked examples (docs/sources.md, Agreement): the same raw agreement, half the kappa,
// because one answer prevails.
func TestKappa(t *testing.T) {
	table := func(yy, yn, ny, nn int) (a, b []bool) {
		add := func(n int, x, y bool) {
			for range n {
				a, b = append(a, x), append(b, y)
			}
		}
		add(yy, true, true)
		add(yn, true, false)
		add(ny, false, true)
		add(nn, false, false)
		return a, b
	}
	for _, c := range []struct {
		yy, yn, ny, nn         int
		observed, kappa, pabak float64
	}{{20, 5, 10, 15, 0.70, 0.4000, 0.40}, {12, 2, 4, 2, 0.70, 0.2105, 0.40}} {
		k, err := NewKappa(table(c.yy, c.yn, c.ny, c.nn))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "observed", k.Observed, c.observed, 1e-9)
		near(t, "kappa", k.Kappa, c.kappa, 5e-5)
		near(t, "PABAK", k.PABAK, c.pabak, 1e-9)
	}
	if k, _ := NewKappa([]bool{true, true}, []bool{true, true}); !math.IsNaN(k.Kappa) {
		t.Errorf("kappa of one answer only is %v", k.Kappa)
	}
}

// SEM 0.98 gives 2.72 (Turner et al. 2025, J Athl Train 60:590).
func TestDetectableChange(t *testing.T) { near(t, "change", DetectableChange(0.98), 2.72, 0.01) }

// By hand: differences −1, 0, 1, 2, 3 have mean 1 and variance 2.5.
func TestLimits(t *testing.T) {
	l, err := NewLimits([]float64{1, 2, 3, 4, 5}, []float64{2, 2, 2, 2, 2})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bias", l.Bias, 1, 1e-12)
	near(t, "low", l.Low, 1-1.96*math.Sqrt(2.5), 1e-12)
	near(t, "high", l.High, 1+1.96*math.Sqrt(2.5), 1e-12)
}
