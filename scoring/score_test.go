package scoring_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"steadfall/internal/simulated"
	"steadfall/internal/testkit/schematest"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// JCGM 106:2012; the worked values are computed (docs/sources.md, Guard band).
func TestErrorProbability(t *testing.T) {
	for _, c := range []struct{ value, sd, threshold, conform float64 }{
		{10, 2.9, 13, .8495},
		{13, 2.9, 13, .5000},
		{8, 2.9, 13, .9577},
		{18, 2.9, 13, .0423},
		{4.33, .71, 5, .8273},
		{6, 1.01, 5, .1611},
	} {
		if got := 1 - scoring.ErrorProbability(c.value, c.sd, c.threshold, true); math.Abs(got-c.conform) > 1e-4 {
			t.Errorf("%v ± %v under %v: %.4f, want %.4f", c.value, c.sd, c.threshold, got, c.conform)
		}
	}
	above, below := scoring.ErrorProbability(3, 1, 2, true), scoring.ErrorProbability(3, 1, 2, false)
	if math.Abs(above+below-1) > 1e-12 {
		t.Errorf("above %v and below %v do not add to 1", above, below)
	}
}

// The guard band is 1.645 standard deviations on either side of the threshold
// (95 % on one side, JCGM 106:2012): just inside it nothing is called.
func TestVerdictsAtTheGuardBand(t *testing.T) {
	const sd = 2.0
	list := checklist(t, "above")
	for _, c := range []struct {
		value float64
		want  scoring.Verdict
	}{
		{10 - 1.646*sd, scoring.Clear},
		{10 - 1.643*sd, scoring.TooClose},
		{10, scoring.TooClose},
		{10 + 1.643*sd, scoring.TooClose},
		{10 + 1.646*sd, scoring.Error},
	} {
		s := scoring.Apply(list, []kinematics.Landing{landing(c.value, sd)})
		if got := s.Items[0].Finding; got != c.want {
			t.Errorf("%.3f: %s, want %s", c.value, got, c.want)
		}
		if points := s.Items[0].Points; (points == 1) != (c.want == scoring.Error) {
			t.Errorf("%.3f: %d points for %s", c.value, points, c.want)
		}
	}
}

func checklist(t *testing.T, when string) scoring.Checklist {
	t.Helper()
	c, err := scoring.Parse([]byte(`
name: test
title: test
source: test
feet: any
items:
  - {id: knee, text: knee in, view: front, measure: fppa_peak, side: each, error_when: ` + when + `, threshold: 10, unit: deg, points: 1, source: test, cue: push}
  - {id: bend, text: stiff, view: side, measure: knee_flexion_peak, side: each, error_when: below, threshold: 60, unit: deg, points: 1, source: test, cue: sink}
  - {id: look, text: overall, view: either, rater: true, points: 2, source: test}
`))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// landing has one measure with normal draws at the quantiles.
func landing(value, sd float64) kinematics.Landing {
	m := kinematics.Measure{Name: "fppa_peak", Side: kinematics.Left, Value: value, SD: sd, Unit: "deg", View: kinematics.Front}
	for i := range 200 {
		m.Draws = append(m.Draws, value+sd*math.Sqrt2*math.Erfinv(2*(float64(i)+.5)/200-1))
	}
	return kinematics.Landing{View: kinematics.Front, Measures: []kinematics.Measure{m}}
}

func TestNotSeenAndRater(t *testing.T) {
	s := scoring.Apply(checklist(t, "above"), []kinematics.Landing{landing(30, 2)})
	if s.Items[1].Finding != scoring.NotSeen || !strings.Contains(s.Items[1].Why, "side") {
		t.Errorf("an item of the side without a side clip: %+v", s.Items[1])
	}
	if s.Items[2].Finding != scoring.ForRater || s.Items[2].Points != 0 {
		t.Errorf("a rater's item was computed: %+v", s.Items[2])
	}
	if s.Errors != 1 || s.Most != 1 || s.Expected < 0.99 || s.Low != 1 || s.High != 1 {
		t.Errorf("the total %+v counts what was not seen", s)
	}
}

// A hold that the end of the clip cut short is no short hold: its time is a lower
// bound, which can clear the item but never fail it.
func TestAHoldCutByTheClipIsNotFailed(t *testing.T) {
	list, err := scoring.Load("two-foot-landing")
	if err != nil {
		t.Fatal(err)
	}
	verdict := func(seconds float64, cut bool) scoring.Verdict {
		m := kinematics.Measure{Name: "hold_time", Side: kinematics.Both, Value: seconds, SD: 0.07, Unit: "s", View: kinematics.Front, AtLeast: cut, Draws: []float64{seconds}}
		for _, f := range scoring.Apply(list, []kinematics.Landing{{View: kinematics.Front, Measures: []kinematics.Measure{m}}}).Items {
			if f.ID == "short-hold" {
				return f.Finding
			}
		}
		return ""
	}
	for _, c := range []struct {
		seconds float64
		cut     bool
		want    scoring.Verdict
	}{{0.7, false, scoring.Error}, {0.7, true, scoring.NotSeen}, {2.4, true, scoring.Clear}, {2.4, false, scoring.Clear}} {
		if got := verdict(c.seconds, c.cut); got != c.want {
			t.Errorf("%.1f s, cut %t: %s, want %s", c.seconds, c.cut, got, c.want)
		}
	}
}

// A value on the threshold is an error in half of the draws.
func TestExpectedTotalOnTheThreshold(t *testing.T) {
	s := scoring.Apply(checklist(t, "above"), []kinematics.Landing{landing(10, 2)})
	if math.Abs(s.Expected-0.5) > 0.01 || s.Low != 0 || s.High != 1 || s.Errors != 0 {
		t.Errorf("%+v", s)
	}
}

func TestTrialsAreJoinedByTheStatedRule(t *testing.T) {
	list := checklist(t, "above")
	var scores []scoring.Score
	for _, v := range []float64{20, 20, 4} {
		scores = append(scores, scoring.Apply(list, []kinematics.Landing{landing(v, 1)}))
	}
	j, err := scoring.Join(scores)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(j.Mean-2.0/3) > 0.01 || !j.Items[0].Shown || j.Items[0].Error != 2 || j.Items[0].Seen != 3 {
		t.Errorf("%+v", j)
	}
	if math.Abs(j.SD-1.0/3) > 0.01 { // the sample's sd 0.577 over √3
		t.Errorf("sd %v, want 0.333", j.SD)
	}
	scores[1].Checklist = "other"
	if _, err := scoring.Join(scores); err == nil {
		t.Error("trials by different checklists were joined")
	}
}

// A result fits its published schema.
func TestResultFitsItsSchema(t *testing.T) {
	sim := simulated.Landing{
		View: kinematics.Front, FPS: 60, StatureCM: 175, PxPerCM: 4.2, BoxCM: 30, DepthCM: 20, HoldS: 2.5, SD: 1,
		FPPADeg: map[kinematics.Side]float64{kinematics.Left: 14, kinematics.Right: 3},
	}
	front, _ := sim.Track()
	sim.View = kinematics.SideLeft
	side, _ := sim.Track()
	var ls []kinematics.Landing
	for _, tr := range []kinematics.Track{front, side} {
		l, err := kinematics.Derive(tr, kinematics.Options{Task: kinematics.DropLanding, StatureCM: 175})
		if err != nil {
			t.Fatal(err)
		}
		ls = append(ls, l)
	}
	s := schematest.Compile(t, scoring.ResultSchema)
	for _, name := range scoring.Names() {
		list, err := scoring.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		r := scoring.NewResult(kinematics.DropLanding, kinematics.Both, ls, scoring.Apply(list, ls))
		r.Tool = "test"
		data, err := json.Marshal(r) // fails on NaN: none leaves kinematics
		if err != nil {
			t.Fatal(err)
		}
		schematest.Fits(t, s, name, data)
	}
}
