package phonefiles_test

import (
	"errors"
	"math"
	"testing"

	"steadfall/internal/models"
	"steadfall/internal/pipeline"
	"steadfall/internal/testkit/phonefiles"
	"steadfall/kinematics"
)

// landing is what is measured of the landing, without a point placed by hand.
type landing struct {
	fppa, depth, contactS float64 // deg, cm, s of the clip
	depthSD, contactSD    float64
	warnings              []string
}

func measured(t *testing.T, path string) landing {
	t.Helper()
	l, err := measure(t, path)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func measure(t *testing.T, path string) (landing, error) {
	t.Helper()
	out, err := pipeline.Run(t.Context(), pipeline.Request{
		Front: pipeline.Source{Clip: path}, Task: kinematics.DropLanding, Limb: kinematics.Both, StatureCM: phonefiles.StatureCM,
	})
	if errors.Is(err, models.ErrMissing) {
		t.Skip("the nets are not on this machine; run make models")
	}
	if err != nil {
		return landing{}, err
	}
	r := out[0].Result
	l := landing{fppa: math.NaN(), depth: math.NaN(), contactS: math.NaN(), warnings: r.Warnings}
	for _, m := range r.Measures {
		if m.Name == "fppa_peak" && m.Side == kinematics.Right {
			l.fppa = m.Value
		}
		if m.Name == "landing_depth" && m.Unit == "cm" {
			l.depth, l.depthSD = m.Value, m.SD
		}
	}
	for _, e := range r.Views[0].Events {
		if e.Name == kinematics.InitialContact {
			l.contactS, l.contactSD = e.TimeS, e.SDS
		}
	}
	return l, nil
}

// fallCMS is how fast the hips fall at contact, cm/s, off the box of 30 cm: √(2·g·h). Depth is told
// from there, so that a tenth of a frame at 60 a second is 0.4 cm of it.
var fallCMS = math.Sqrt(2 * 981 * 30)

// However the landing is stored, it is measured as in the plain file: the knee's angle within 1°,
// contact within half a frame of the coarser of the two, and the depth within 0.5 cm besides
// what the hips fall in the time by which contact differs.
func TestMeasuredAlike(t *testing.T) {
	plain := phonefiles.Cases[0]
	want := measured(t, file(t, plain))
	t.Logf("plain: %.2f°, %.2f cm, contact %.4f s", want.fppa, want.depth, want.contactS)
	for _, c := range phonefiles.Cases[1:] {
		t.Run(c.Name, func(t *testing.T) {
			got := measured(t, file(t, c))
			hz := plain.RateHz
			if c.RateHz > 0 {
				hz = math.Min(hz, c.RateHz*c.Stretched)
			}
			contactS := got.contactS
			if !c.SaysSo {
				contactS /= c.Stretched
			}
			fppa, depth, frames := got.fppa-want.fppa, got.depth-want.depth, (contactS-want.contactS)*hz
			rest := depth + fallCMS*(contactS-want.contactS)
			t.Logf("%+.2f°, %+.2f cm (%+.2f from the same contact on), contact %+.2f frames of %g", fppa, depth, rest, frames, hz)
			if !(math.Abs(fppa) <= 1 && math.Abs(rest) <= 0.5 && math.Abs(frames) <= 0.5) {
				t.Errorf("%+.2f°, %+.2f cm, contact %+.2f frames of %g from the plain file's; %q", fppa, depth, frames, hz, got.warnings)
			}
		})
	}
}
