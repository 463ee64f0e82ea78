//go:build cgo

package pose

import (
	"errors"
	"math"
	"testing"

	"gocv.io/x/gocv"

	"steadfall/internal/models"
)

// ONNX Runtime and OpenCV run one net alike: each is the other's reference. The picture is noise; what
// both say of it differs by what they round.
func TestRunnersAgree(t *testing.T) {
	library, err := models.Runtime()
	if errors.Is(err, models.ErrNoRuntime) {
		t.Skip("ONNX Runtime is not on this machine; run make models")
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		net  models.Net
		side int
	}{{models.Detector, detectorSide}, {models.Lite, poseSide}, {models.Full, poseSide}, {models.Heavy, poseSide}} {
		blob := gocv.NewMatWithSizes([]int{1, 3, c.side, c.side}, gocv.MatTypeCV32F)
		defer blob.Close()
		v, err := blob.DataPtrFloat32()
		if err != nil {
			t.Fatal(err)
		}
		for i := range v {
			v[i] = float32(0.5 + 0.5*math.Sin(float64(i%c.side)/9)*math.Cos(float64(i/c.side)/7))
		}
		var out [2][][]float32
		for i, lib := range []string{library, ""} {
			onnx, err := models.Load(c.net, lib == "")
			if err != nil {
				t.Fatal(err)
			}
			r, err := newRunner(lib, onnx, models.Outputs(c.net))
			if err != nil {
				t.Fatal(err)
			}
			defer r.close()
			out[i] = r.run(blob)
		}
		for k := range out[1] {
			if len(out[0]) != len(out[1]) || len(out[0][k]) != len(out[1][k]) {
				t.Fatalf("%s: outputs of other sizes", c.net)
			}
			var most, largest float64
			for i, w := range out[1][k] {
				most = math.Max(most, math.Abs(float64(out[0][k][i]-w)))
				largest = math.Max(largest, math.Abs(float64(w)))
			}
			if most > 1e-3*largest+1e-6 {
				t.Errorf("%s, output %d: they differ by %g of %g", c.net, k, most, largest)
			}
		}
	}
}
