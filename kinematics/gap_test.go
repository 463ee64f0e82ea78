package kinematics_test

import (
	"testing"

	"steadfall/kinematics"
)

// The largest value of a stretch is not known where the leg was unseen for longer than is
// bridged: the knee that falls in by 14° may fall in further there. A shorter gap changes
// nothing, and the other leg keeps its value.
func TestNoPeakOverWhatWasNotSeen(t *testing.T) {
	for _, c := range []struct {
		unseenS float64
		known   bool
	}{{0, true}, {0.05, true}, {0.15, false}, {0.4, false}} {
		sim := dropFront()
		tr, truth := sim.Track()
		for i, at := range tr.TimeS {
			if at > truth.ContactS+0.05 && at < truth.ContactS+0.05+c.unseenS {
				for _, p := range []kinematics.Part{kinematics.Hip, kinematics.Knee, kinematics.Ankle} {
					tr.Points[kinematics.On(kinematics.Left, p)][i] = kinematics.Unseen()
				}
			}
		}
		l := derive(t, tr, kinematics.Options{})
		if _, ok := l.Measure("fppa_peak", kinematics.Left); ok != c.known {
			t.Errorf("unseen for %g s after contact: the peak is known: %v", c.unseenS, ok)
		}
		if _, ok := l.Measure("fppa_peak", kinematics.Right); !ok {
			t.Errorf("unseen for %g s after contact: the other leg's peak is not known", c.unseenS)
		}
	}
}
