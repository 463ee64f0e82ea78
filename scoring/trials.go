package scoring

import (
	"fmt"
	"math"
)

// TrialsRule is how trials of one task are joined, as reports state it. At least
// seven rules are in use in the literature; the mean is the commonest.
const TrialsRule = "the mean of the trials' expected errors; an item counts as shown when it is a sure error in at least half of the trials in which it was seen"

// Together is several trials of one task joined by TrialsRule.
type Together struct {
	Checklist string         `json:"checklist"`
	Trials    int            `json:"trials"`
	Rule      string         `json:"rule"`
	Mean      float64        `json:"mean"` // of the expected errors
	SD        float64        `json:"sd"`   // of the mean
	Items     []ItemTogether `json:"items"`
	Jumps     []JumpSummary  `json:"jumps,omitempty"`
}

// ItemTogether is one item over the trials.
type ItemTogether struct {
	ID    string `json:"id"`
	Side  string `json:"side"`
	Seen  int    `json:"seen"`
	Error int    `json:"error"`
	Shown bool   `json:"shown"`
}

// Join joins the scores of trials of one task. They must be by one checklist.
func Join(scores []Score) (Together, error) {
	if len(scores) == 0 {
		return Together{}, fmt.Errorf("there are no trials to join")
	}
	t := Together{Checklist: scores[0].Checklist, Trials: len(scores), Rule: TrialsRule}
	at := map[string]int{}
	var own, spread float64
	for _, s := range scores {
		if s.Checklist != t.Checklist {
			return t, fmt.Errorf("the trials were scored by different checklists, %q and %q; score them again by one", t.Checklist, s.Checklist)
		}
		t.Mean += s.Expected / float64(len(scores))
		// Half of the 5th to 95th percentile is 1.645 standard deviations.
		sd := float64(s.High-s.Low) / 2 / 1.645
		own += sd * sd
		for _, f := range s.Items {
			key := f.ID + " " + string(f.Side)
			if _, ok := at[key]; !ok {
				at[key] = len(t.Items)
				t.Items = append(t.Items, ItemTogether{ID: f.ID, Side: string(f.Side)})
			}
			it := &t.Items[at[key]]
			if f.Finding == Clear || f.Finding == Error || f.Finding == TooClose {
				it.Seen++
			}
			if f.Finding == Error {
				it.Error++
			}
		}
	}
	for i := range t.Items {
		it := &t.Items[i]
		it.Shown = it.Seen > 0 && 2*it.Error >= it.Seen
	}
	n := float64(len(scores))
	for _, s := range scores {
		spread += (s.Expected - t.Mean) * (s.Expected - t.Mean)
	}
	// The larger of what each trial says of itself and what they say together.
	t.SD = math.Sqrt(own) / n
	if len(scores) > 1 {
		t.SD = math.Max(t.SD, math.Sqrt(spread/(n-1)/n))
	}
	return t, nil
}
