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
	Trials    int            `json:"trials"` // in which something was seen
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

// Join joins the scores of trials of one task, in points. Mean is that of the expected errors;
// SD is the larger of √(Σσᵢ²)/n, σᵢ being half of a trial's 5th to 95th percentile over 1.645,
// and s/√n of the sample. Those in which nothing was seen do not count. It returns an error
// when there are no scores, when they are by different checklists, or when nothing was seen in
// any. The rule is TrialsRule; common practice, no source.
func Join(scores []Score) (Together, error) {
	if len(scores) == 0 {
		return Together{}, fmt.Errorf("there are no trials to join")
	}
	t := Together{Checklist: scores[0].Checklist, Rule: TrialsRule}
	at := map[string]int{}
	var totals, own []float64
	for _, s := range scores {
		if s.Checklist != t.Checklist {
			return t, fmt.Errorf("the trials were scored by different checklists, %q and %q; score them again by one", t.Checklist, s.Checklist)
		}
		if s.Most == 0 {
			continue // nothing was seen, so that no error is none
		}
		t.Trials++
		// Half of the 5th to 95th percentile is 1.645 standard deviations.
		totals, own = append(totals, s.Expected), append(own, float64(s.High-s.Low)/2/1.645)
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
	if t.Trials == 0 {
		return t, fmt.Errorf("in none of the trials enough was seen to score them; film them again")
	}
	for i := range t.Items {
		it := &t.Items[i]
		it.Shown = it.Seen > 0 && 2*it.Error >= it.Seen
	}
	t.Mean, t.SD = meanOf(totals, own)
	return t, nil
}

// meanOf is the mean of values and its standard deviation: the larger of what the values
// state of themselves and what their spread shows.
func meanOf(vs, own []float64) (mean, sd float64) {
	n := float64(len(vs))
	var stated, spread float64
	for i, v := range vs {
		mean += v / n
		stated += sq(own[i])
	}
	for _, v := range vs {
		spread += sq(v - mean)
	}
	sd = math.Sqrt(stated) / n
	if n > 1 {
		sd = math.Max(sd, math.Sqrt(spread/(n-1)/n))
	}
	return mean, sd
}
