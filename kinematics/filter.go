package kinematics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// passCorrection is (2^(1/n)-1)^(1/4) for n = 2 passes of a second-order
// Butterworth filter: what the warped cut-off must be divided by so that the two
// passes together lose 3 dB at the wanted frequency (Winter 2009, Biomechanics
// and Motor Control of Human Movement, 4th ed., ch. 3; Robertson et al. 2013).
var passCorrection = math.Pow(math.Sqrt2-1, 0.25)

// butterworth is a second-order low-pass filter:
//
//	y[i] = a0·x[i] + a1·x[i-1] + a2·x[i-2] + b1·y[i-1] + b2·y[i-2]
type butterworth struct{ a0, a1, a2, b1, b2 float64 }

// newButterworth designs the filter for cut-off fc at rate fs, both Hz, to be
// run twice. The correction is applied to the warped frequency tan(π·fc/fs), as
// Winter's printed tables need (0.029 mm against 0.042 mm otherwise; docs/sources.md,
// Butterworth filter).
func newButterworth(fc, fs float64) butterworth {
	wc := math.Tan(math.Pi*fc/fs) / passCorrection
	k1, k2 := math.Sqrt2*wc, wc*wc
	a0 := k2 / (1 + k1 + k2)
	k3 := 2 * a0 / k2
	return butterworth{a0: a0, a1: 2 * a0, a2: a0, b1: -2*a0 + k3, b2: 1 - 2*a0 - k3}
}

// pass runs the filter once over x in place, starting at rest on x[0].
func (f butterworth) pass(x []float64) {
	if len(x) == 0 {
		return
	}
	x1, x2, y1, y2 := x[0], x[0], x[0], x[0]
	for i, v := range x {
		y := f.a0*v + f.a1*x1 + f.a2*x2 + f.b1*y1 + f.b2*y2
		x2, x1, y2, y1 = x1, v, y1, y
		x[i] = y
	}
}

// padSamples is how many samples each end is reflected by before filtering.
// Without, the first frames of Winter's walk are off by up to 65 mm; with 10 to
// 30 samples, by 5 to 7 mm.
const padSamples = 20

// lowPass returns x filtered forward and backward (zero lag) with cut-off fc at
// rate fs, both Hz. The ends are extended by odd reflection. x must hold no NaN
// and is not changed. It panics if fc is not below half of fs.
func lowPass(x []float64, fc, fs float64) []float64 {
	if !(fc > 0 && fc < fs/2) {
		panic("kinematics: cut-off must lie between 0 and half the rate")
	}
	n := len(x)
	pad := min(padSamples, n-1)
	if n < 3 {
		return append([]float64(nil), x...)
	}
	y := make([]float64, n+2*pad)
	copy(y[pad:], x)
	for i := 1; i <= pad; i++ {
		y[pad-i] = 2*x[0] - x[i]
		y[pad+n-1+i] = 2*x[n-1] - x[n-1-i]
	}
	f := newButterworth(fc, fs)
	f.pass(y)
	slices.Reverse(y)
	f.pass(y)
	slices.Reverse(y)
	return y[pad : pad+n]
}

// The cut-offs that residual analysis may choose from for landings: 2-D landing
// kinematics use 6 to 15 Hz (from memory, general practice).
const (
	minCutoffHz = 6.0
	maxCutoffHz = 15.0
)

// topCutoff is the highest cut-off that a rate can carry: a quarter of it, so
// that the corrected frequency stays well under half (rule of thumb fs ≥ 4·fc,
// common practice, no source).
func topCutoff(fs float64) float64 { return math.Min(maxCutoffHz, fs/4) }

// residualCutoff chooses the cut-off of x by residual analysis (Winter 2009,
// ch. 3): the residual R(fc) between x and its filtered copy falls to a straight
// line where only noise is left; the line's intercept at 0 Hz estimates the
// noise, and the cut-off is where R equals it. The result is held between
// minCutoffHz and topCutoff. noise is the intercept, in the unit of x.
func residualCutoff(x []float64, fs float64) (fc, noise float64) {
	top := topCutoff(fs)
	low := math.Min(minCutoffHz, top)
	if len(x) < 2*padSamples {
		return top, 0
	}
	const stepHz = 0.5
	end := math.Min(20, 0.45*fs)
	tailFrom := 0.6 * end
	var hz, res, tailHz, tailRes []float64
	for f := 1.0; f <= end; f += stepHz {
		y := lowPass(x, f, fs)
		r := floats.Distance(x, y, 2) / math.Sqrt(float64(len(x)))
		hz, res = append(hz, f), append(res, r)
		if f >= tailFrom {
			tailHz, tailRes = append(tailHz, f), append(tailRes, r)
		}
	}
	noise, _ = stat.LinearRegression(tailHz, tailRes, nil, false)
	fc = top
	for i := 1; i < len(hz); i++ {
		if res[i] <= noise {
			fc = hz[i]
			if fall := res[i-1] - res[i]; fall > 0 {
				fc = hz[i-1] + stepHz*math.Min((res[i-1]-noise)/fall, 1)
			}
			break
		}
	}
	return math.Min(math.Max(fc, low), top), math.Max(noise, 0)
}
