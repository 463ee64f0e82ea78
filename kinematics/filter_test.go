package kinematics

import (
	"bytes"
	"encoding/json"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os/exec"
	"testing"
)

// Constant and coefficients: computed after Winter 2009, ch. 3 (docs/sources.md, Butterworth
// filter).
func TestButterworthCoefficients(t *testing.T) {
	near(t, "pass correction", passCorrection, 0.8022432629, 1e-9)
	for _, c := range []struct{ fc, fs, a0, a1, b1, b2 float64 }{
		{5, 1 / 0.0143, .05466176, .10932352, 1.23849366, -.45714069},
		{6, 30, .26449377, .52898755, .11597653, -.17395162},
		{10, 60, .20425381, .40850763, .38023186, -.19724711},
		{12, 240, .02956907, .05913815, 1.45810386, -.57638016},
	} {
		f := newButterworth(c.fc, c.fs)
		near(t, "a0", f.a0, c.a0, 1e-7)
		near(t, "a1", f.a1, c.a1, 1e-7)
		near(t, "b1", f.b1, c.b1, 1e-7)
		near(t, "b2", f.b2, c.b2, 1e-7)
	}
}

// Two passes lose exactly 3 dB at the cut-off (1/√2 = 0.707107).
func TestTwoPassGain(t *testing.T) {
	for _, fc := range []float64{5, 6, 10, 12, 15} {
		f := newButterworth(fc, 60)
		z := cmplx.Exp(complex(0, -2*math.Pi*fc/60))
		once := (complex(f.a0, 0) + complex(f.a1, 0)*z + complex(f.a2, 0)*z*z) / (1 - complex(f.b1, 0)*z - complex(f.b2, 0)*z*z)
		near(t, "gain", cmplx.Abs(once)*cmplx.Abs(once), 0.707107, 1e-6)
	}
}

// scipy.signal.butter and filtfilt (Debian's python3-scipy) on a seeded signal: the
// corrected cut-off is atan(tan(π·fc/fs)/C)·fs/π.
func TestFilterAgainstScipy(t *testing.T) {
	const script = `
import sys, json, numpy as np
from scipy.signal import butter, filtfilt
d = json.load(sys.stdin)
c = (np.sqrt(2)-1)**0.25
fc = np.arctan(np.tan(np.pi*d["fc"]/d["fs"])/c)*d["fs"]/np.pi
b, a = butter(2, fc/(d["fs"]/2))
print(json.dumps({"b": list(b), "a": list(a), "y": list(filtfilt(b, a, d["x"], padtype="odd", padlen=20))}))`
	x := make([]float64, 240)
	rng := rand.New(rand.NewPCG(4, 2))
	for i := range x {
		s := float64(i) / 120
		x[i] = 30*math.Sin(2*math.Pi*1.3*s) + 4*math.Cos(2*math.Pi*4*s) + rng.NormFloat64()
	}
	var got struct{ B, A, Y []float64 }
	python(t, script, map[string]any{"x": x, "fc": 8.0, "fs": 120.0}, &got)
	f := newButterworth(8, 120)
	near(t, "b0", f.a0, got.B[0], 1e-12)
	near(t, "a1", -f.b1, got.A[1], 1e-12)
	near(t, "a2", -f.b2, got.A[2], 1e-12)
	y := lowPass(x, 8, 120)
	for i := 20; i < len(y)-20; i++ { // the ends differ in their starting state
		near(t, "filtfilt", y[i], got.Y[i], 2e-3)
	}
}

// python runs a script of Debian's Python with JSON in and out; the test is skipped
// with a message where SciPy is not installed.
func python(t *testing.T, script string, in, out any) {
	t.Helper()
	const py = "/usr/bin/python3"
	if err := exec.Command(py, "-c", "import scipy").Run(); err != nil {
		t.Skip("python3-scipy is not installed; run make setup")
	}
	data, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(py, "-c", script)
	cmd.Stdin = bytes.NewReader(data)
	res, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(res, out); err != nil {
		t.Fatal(err)
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %g", what, got, want, tol)
	}
}
