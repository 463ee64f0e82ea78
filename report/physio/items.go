package physio

import (
	"slices"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// itemRow is one item of the checklist over all trials.
type itemRow struct {
	Text   string
	Side   kinematics.Side
	Worth  int
	Marks  []scoring.Verdict // of each trial; empty where the trial has not the item
	Errors int
	Seen   int // trials in which it could be told, or was too close
}

// itemRows lines up the findings of all trials, in the order of the checklist.
func itemRows(all []Trial) []itemRow {
	var out []itemRow
	for k, t := range all {
		for _, f := range t.Result.Score.Items {
			i := slices.IndexFunc(out, func(r itemRow) bool { return r.Text == f.Text && r.Side == f.Side })
			if i < 0 {
				i = len(out)
				out = append(out, itemRow{Text: f.Text, Side: f.Side, Worth: f.Worth, Marks: make([]scoring.Verdict, len(all))})
			}
			out[i].Marks[k] = f.Finding
			switch f.Finding {
			case scoring.Error:
				out[i].Errors++
				out[i].Seen++
			case scoring.Clear, scoring.TooClose:
				out[i].Seen++
			}
		}
	}
	return joinUnseen(out)
}

// joinUnseen takes out the rows of items of one leg that say of no leg in particular that
// it was not seen, and says so on the rows of the legs.
func joinUnseen(all []itemRow) []itemRow {
	var out []itemRow
	for _, r := range all {
		legs := 0
		if r.Side == kinematics.Both && !slices.ContainsFunc(r.Marks, func(v scoring.Verdict) bool { return v != scoring.NotSeen && v != "" }) {
			for i := range all {
				if all[i].Text != r.Text || all[i].Side == kinematics.Both {
					continue
				}
				legs++
				for k, v := range r.Marks {
					if all[i].Marks[k] == "" {
						all[i].Marks[k] = v
					}
				}
			}
		}
		if legs == 0 {
			out = append(out, r)
		}
	}
	return out
}
