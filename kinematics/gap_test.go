package kinematics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

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

// Where nothing was seen around contact, contact is not told to the millisecond: it is within what
// is stated, or not seen at all. Gaps end before, at and after contact, short ones that are bridged
// and longer ones.
func TestContactBesideAGap(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	var z []float64
	told := 0
	for _, unseenS := range []float64{0.03, 0.05, 0.08, 0.12, 0.16} {
		for _, endS := range []float64{-0.01, 0, 0.01, 0.02, 0.04} {
			for range 4 {
				sim := dropFront()
				sim.BoxCM, sim.DepthCM = 20+20*rng.Float64(), 12+10*rng.Float64()
				tr, truth := sim.Track()
				for i, at := range tr.TimeS {
					if at > truth.ContactS+endS-unseenS && at <= truth.ContactS+endS {
						for l := range tr.Points {
							tr.Points[l][i] = kinematics.Unseen()
						}
					}
				}
				l, err := kinematics.Derive(tr, kinematics.Options{StatureCM: sim.StatureCM})
				if err != nil {
					continue
				}
				for _, e := range l.Events {
					if e.Name == kinematics.InitialContact {
						told++
						z = append(z, (e.TimeS-truth.ContactS)/e.SDS)
						if math.Abs(e.TimeS-truth.ContactS) > 3*e.SDS {
							t.Errorf("unseen for %g s until %+g s from contact: contact is told %+.3f s off, ± %.3f", unseenS, endS, e.TimeS-truth.ContactS, e.SDS)
						}
					}
				}
			}
		}
	}
	t.Logf("%d contacts told, RMS z %.2f", told, math.Sqrt(stat.Mean(squares(z), nil)))
}

func squares(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v * v
	}
	return out
}
