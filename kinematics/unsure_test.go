package kinematics_test

import (
	"math"
	"testing"

	"steadfall/kinematics"
)

// Whatever was not seen while standing, no measure is stated to be known exactly: it has the
// spread of its draws, or is missing.
func TestNoMeasureIsKnownExactly(t *testing.T) {
	for _, view := range []kinematics.View{kinematics.Front, kinematics.SideRight} {
		for _, hidden := range kinematics.Landmarks() {
			sim := dropFront()
			sim.View = view
			tr, truth := sim.Track()
			for i, at := range tr.TimeS {
				if at < truth.ContactS-0.1 {
					tr.Points[hidden][i] = kinematics.Unseen()
				}
			}
			l, err := kinematics.Derive(tr, kinematics.Options{Task: kinematics.DropLanding, StatureCM: 175})
			if err != nil {
				continue // nothing is stated then
			}
			for _, m := range l.Measures {
				if !m.YesNo() && m.SD < 1e-4*math.Max(1, math.Abs(m.Value)) {
					t.Errorf("%s, %s not seen standing: %s %s is stated as %g ± %g %s", view, hidden, m.Name, m.Side, m.Value, m.SD, m.Unit)
				}
			}
		}
	}
}
