package scoring_test

import (
	"fmt"
	"math"
	"testing"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// A worked example of kappa (docs/sources.md, Agreement: 20 both yes, 5 and 10 apart, 15 both
// no, 0.4000), asked as trials of one item; questions that one of the two left open do not
// count.
func TestAgreementOfItems(t *testing.T) {
	var all []scoring.Answer
	n := 0
	add := func(times int, a, b bool) {
		for range times {
			n++
			trial := fmt.Sprint("trial ", n)
			all = append(all, scoring.Answer{Trial: trial, Rater: "A", Item: "stiff", Side: kinematics.Left, Error: &a},
				scoring.Answer{Trial: trial, Rater: "B", Item: "stiff", Side: kinematics.Left, Error: &b})
		}
	}
	add(20, true, true)
	add(5, true, false)
	add(10, false, true)
	add(15, false, false)
	yes := true
	all = append(all, scoring.Answer{Trial: "open", Rater: "A", Item: "stiff", Side: kinematics.Left, Error: &yes},
		scoring.Answer{Trial: "open", Rater: "B", Item: "stiff", Side: kinematics.Left})
	c, err := scoring.NewRaterAgreement(all)
	if err != nil || len(c.Pairs) != 1 || len(c.Pairs[0].Items) != 1 {
		t.Fatalf("%+v, %v", c, err)
	}
	k := c.Pairs[0].Items[0]
	if k.N != 50 || math.Abs(k.Kappa.Kappa-0.4) > 1e-4 || c.Pairs[0].Trials != 50 {
		t.Errorf("%+v of %d trials; want kappa 0.4 of 50", k, c.Pairs[0].Trials)
	}
}

// Totals are Shrout and Fleiss's ratings of six targets by their first two judges (9 2, 6 1,
// 8 4, 7 1, 10 5, 6 2), said as that many yeses of ten items. ICC(2,1) by the formulas of
// the paper worked by hand: BMS 4.6833, JMS 80.0833, EMS 0.6833, so 4/(5.3667 + 26.4667).
func TestAgreementOfTotals(t *testing.T) {
	var all []scoring.Answer
	for trial, v := range [][2]int{{9, 2}, {6, 1}, {8, 4}, {7, 1}, {10, 5}, {6, 2}} {
		for i := range 10 {
			for r, rater := range []string{"one", "two"} {
				bad := i < v[r]
				all = append(all, scoring.Answer{Trial: fmt.Sprint(trial), Rater: rater, Item: fmt.Sprint("item ", i), Side: kinematics.Both, Error: &bad})
			}
		}
	}
	c, err := scoring.NewRaterAgreement(all)
	if err != nil {
		t.Fatal(err)
	}
	got := c.Pairs[0].Totals
	if want := 4.0 / (4.683333 + 0.683333 + 2*(80.083333-0.683333)/6); math.Abs(got.ICC.TwoSingle-want) > 1e-4 {
		t.Errorf("ICC(2,1) %.4f, want %.4f", got.ICC.TwoSingle, want)
	}
	if want := 46.0/6 - 15.0/6; math.Abs(got.Limits.Bias-want) > 1e-9 {
		t.Errorf("mean difference %v, want %v", got.Limits.Bias, want)
	}
	if _, err := scoring.NewRaterAgreement(all[:1]); err == nil {
		t.Error("one rater alone agrees with somebody")
	}
}
