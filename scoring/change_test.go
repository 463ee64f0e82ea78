package scoring_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"steadfall/kinematics"
	"steadfall/scoring"
)

func session(sd float64, values ...float64) []kinematics.Measure {
	var out []kinematics.Measure
	for _, v := range values {
		out = append(out, kinematics.Measure{Name: "fppa_lowest", Value: v, SD: sd, Unit: "deg"})
	}
	return out
}

// With an SEM of 2.72° the smallest detectable change is 7.54° (Munro et al. 2012,
// docs/sources.md; 2.72 · 2.772): equal trials whose only doubt is that are told apart above
// it only.
func TestChangeAgainstThePublishedDetectableChange(t *testing.T) {
	for change, want := range map[float64]scoring.ChangeVerdict{7.4: scoring.WithinNoise, 7.7: scoring.RealChange, -7.7: scoring.RealChange} {
		c := scoring.NewChange(session(2.72, 10, 10, 10), session(2.72, 10+change, 10+change, 10+change))
		if math.Abs(c.Detectable-7.54) > 0.01 || c.Verdict != want {
			t.Errorf("change of %g°: %+v, want %s and 7.54°", change, c, want)
		}
	}
	if c := scoring.NewChange(session(1, 10), session(1, 30, 31)); c.Verdict != scoring.TooFew {
		t.Errorf("one trial: %+v", c)
	}
}

// Where nothing changed, at most 5 % of changes are called real; seeded.
func TestNoChangeIsSeldomCalledReal(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	const n = 4000
	real := 0
	for range n {
		draw := func() []kinematics.Measure {
			camera := 2 * rng.NormFloat64() // the same for all trials of a session
			var v []float64
			for range 5 {
				v = append(v, 10+camera+1.5*rng.NormFloat64())
			}
			return session(2, v...)
		}
		if scoring.NewChange(draw(), draw()).Verdict == scoring.RealChange {
			real++
		}
	}
	if share := float64(real) / n; share > 0.06 || share < 0.03 {
		t.Errorf("%.1f %% of nothing called real, want about 5", 100*share)
	}
}
