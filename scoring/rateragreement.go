package scoring

import (
	"errors"
	"math"
	"slices"

	"steadfall/kinematics"
)

// Answer is what one rater, a person or the tool, said of one item of one trial.
type Answer struct {
	Trial, Rater, Item string
	Side               kinematics.Side
	Error              *bool // nil: could not be seen, or too close to call
}

// RaterAgreement is how well raters agree on the same trials, pair by pair. Only questions that
// both of a pair answered count.
type RaterAgreement struct {
	Raters []string
	Pairs  []PairAgreement
}

// PairAgreement is the agreement of two raters.
type PairAgreement struct {
	A, B   string
	Trials int // with a question that both answered
	Items  []ItemAgreement
	Totals *TotalAgreement // of the errors in a trial; nil under three trials or where none vary
}

// ItemAgreement is the agreement on one item, over trials and legs.
type ItemAgreement struct {
	Item string
	Kappa
}

// TotalAgreement is the agreement on how many errors a trial shows.
type TotalAgreement struct {
	ICC        ICC
	Limits     Limits  // A minus B
	Detectable float64 // smallest change of one person that is not noise between raters
}

// NewRaterAgreement compares every pair of raters, in the order in which they first answer. It
// returns an error when there are under two.
func NewRaterAgreement(all []Answer) (RaterAgreement, error) {
	type question struct {
		trial, item string
		side        kinematics.Side
	}
	var c RaterAgreement
	var asked []question
	said := map[string]map[question]bool{}
	for _, a := range all {
		if said[a.Rater] == nil {
			said[a.Rater] = map[question]bool{}
			c.Raters = append(c.Raters, a.Rater)
		}
		q := question{a.Trial, a.Item, a.Side}
		if !slices.Contains(asked, q) {
			asked = append(asked, q)
		}
		if a.Error != nil {
			said[a.Rater][q] = *a.Error
		}
	}
	if len(c.Raters) < 2 {
		return c, errors.New("agreement needs the answers of at least two raters")
	}
	for i, a := range c.Raters {
		for _, b := range c.Raters[i+1:] {
			p := PairAgreement{A: a, B: b}
			var items, trials []string
			both := map[string][2][]bool{}
			totals := map[string][2]float64{}
			for _, q := range asked {
				x, okA := said[a][q]
				y, okB := said[b][q]
				if !okA || !okB {
					continue
				}
				if _, ok := both[q.item]; !ok {
					items = append(items, q.item)
				}
				if _, ok := totals[q.trial]; !ok {
					trials = append(trials, q.trial)
				}
				both[q.item] = [2][]bool{append(both[q.item][0], x), append(both[q.item][1], y)}
				t := totals[q.trial]
				totals[q.trial] = [2]float64{t[0] + one(x), t[1] + one(y)}
			}
			for _, item := range items {
				k, err := NewKappa(both[item][0], both[item][1])
				if err != nil {
					return c, err
				}
				p.Items = append(p.Items, ItemAgreement{item, k})
			}
			p.Trials = len(trials)
			p.Totals = newTotals(trials, totals)
			c.Pairs = append(c.Pairs, p)
		}
	}
	return c, nil
}

func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func newTotals(trials []string, totals map[string][2]float64) *TotalAgreement {
	var ratings [][]float64
	var a, b []float64
	for _, t := range trials {
		v := totals[t]
		ratings = append(ratings, []float64{v[0], v[1]})
		a, b = append(a, v[0]), append(b, v[1])
	}
	limits, err := NewLimits(a, b)
	if err != nil {
		return nil
	}
	icc, err := NewICC(ratings)
	if err != nil || math.IsNaN(icc.TwoSingle) {
		return nil
	}
	return &TotalAgreement{icc, limits, DetectableChange(icc.SEMAgreement)}
}
