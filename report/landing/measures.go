package landing

import (
	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// measureRow is one measure with both legs side by side.
type measureRow struct {
	Words             string
	Unit              string
	View              kinematics.View
	First             bool // of its view
	Left, Right, Both *kinematics.Measure
	Diff              *scoring.LimbDifference
}

func measureRows(loc locale.Locale, r scoring.Result) []measureRow {
	var out []measureRow
	at := map[string]int{}
	for i := range r.Measures {
		m := &r.Measures[i]
		key := string(m.View) + m.Name
		if _, ok := at[key]; !ok {
			at[key] = len(out)
			first := len(out) == 0 || out[len(out)-1].View != m.View
			out = append(out, measureRow{Words: loc.MeasureWords(m.Name), Unit: m.Unit, View: m.View, First: first})
		}
		row := &out[at[key]]
		switch m.Side {
		case kinematics.Left:
			row.Left = m
		case kinematics.Right:
			row.Right = m
		default:
			row.Both = m
		}
	}
	for i := range r.Limbs {
		d := &r.Limbs[i]
		if j, ok := at[string(d.View)+d.Name]; ok {
			out[j].Diff = d
		}
	}
	return out
}
