package pagetest

import (
	"steadfall/kinematics"
	"steadfall/scoring"
)

// Season is three sessions in which the knees come to fall in less, 9° from one to the next.
func Season() []scoring.Progress {
	var dated []scoring.Dated
	for day, date := range []string{"2026-09-01", "2026-09-08", "2026-09-15"} {
		for trial := range 3 {
			for _, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
				dated = append(dated, scoring.Dated{Date: date, Task: kinematics.DropLanding, Limb: kinematics.Both, Measure: kinematics.Measure{
					Name: "fppa_peak", Side: side, View: kinematics.Front, Unit: "deg", Value: 20 - 9*float64(day) + 0.2*float64(trial), SD: 2,
				}})
			}
			dated = append(dated, scoring.Dated{Date: date, Task: kinematics.DropLanding, Limb: kinematics.Both, Measure: kinematics.Measure{
				Name: "landing_depth", Side: kinematics.Both, View: kinematics.Front, Unit: "cm", Value: 20 + 0.1*float64(trial), SD: 1,
			}})
		}
	}
	return scoring.NewProgress(dated)
}
