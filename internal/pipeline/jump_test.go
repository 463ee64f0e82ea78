package pipeline_test

import (
	"errors"
	"math"
	"path/filepath"
	"testing"

	"steadfall/internal/models"
	"steadfall/internal/pipeline"
	"steadfall/internal/testkit/synthetic"
	"steadfall/kinematics"
)

// The rendered jump at 120 frames a second, no point placed by hand, against its truth:
// flight time within a frame, height within 1.0 cm, the hips' rise within 1.5 cm.
func TestJumpClip(t *testing.T) {
	const dir = "../../testdata/clips"
	all, err := synthetic.Clips(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, truth := range all {
		if truth.Truth.FlightS == nil {
			continue
		}
		out, err := pipeline.Run(t.Context(), pipeline.Request{
			Side: pipeline.Source{Clip: filepath.Join(dir, truth.Name+".mp4")}, Task: kinematics.CountermovementJump, Limb: kinematics.Both, StatureCM: truth.StatureCM,
		})
		if errors.Is(err, models.ErrMissing) {
			t.Skip("the nets are not on this machine; run make models")
		}
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			name      string
			want, tol float64
		}{
			{"flight_time", *truth.Truth.FlightS, 1 / truth.FPS},
			{"jump_height", *truth.Truth.JumpHeightCM, 1.0},
			{"hip_rise", *truth.Truth.HipRiseCM, 1.5},
		} {
			m, ok := out[0].Result.Surest(c.name)
			if !ok || math.Abs(m.Value-c.want) > c.tol {
				t.Errorf("%s: %s %.3f ± %.3f, want %.3f within %.3f", truth.Name, c.name, m.Value, m.SD, c.want, c.tol)
			}
			t.Logf("%s: %s %.3f ± %.3f %s, true %.3f", truth.Name, c.name, m.Value, m.SD, m.Unit, c.want)
		}
	}
}
