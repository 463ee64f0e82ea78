package squad

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"

	"steadfall/kinematics"
	"steadfall/report/chart"
	"steadfall/report/locale"
)

// Spread is one measure of everybody at one task on one day: how the squad lies.
type Spread struct {
	Task    kinematics.Task
	Measure string
	Rows    []SpreadRow
}

// SpreadRow is an athlete's worse leg: the mean of the day and its standard deviation.
type SpreadRow struct {
	Code      string
	Side      kinematics.Side
	Value, SD float64
}

// spread is a Spread as it is shown: the chart, and its numbers.
type spread struct {
	chart.Chart
	Unit string
	Rows []SpreadRow
}

// spreadRow is the height of an athlete's row, px.
const spreadRow = 18

// spreadOf draws a dot for each athlete with a line of one standard deviation to each side,
// the largest on top. Under three athletes nothing is spread.
func spreadOf(loc locale.Locale, s Spread) (out spread, ok bool, err error) {
	if len(s.Rows) < 3 {
		return out, false, nil
	}
	out.Rows = slices.Clone(s.Rows)
	slices.SortStableFunc(out.Rows, func(a, b SpreadRow) int { return cmp.Compare(b.Value, a.Value) })
	about, _ := kinematics.Describe(s.Measure)
	out.Unit = locale.Unit(about.Unit)
	f := chart.Frame{
		Key:  []string{loc.Leg(kinematics.Left), loc.Leg(kinematics.Right)},
		Left: "16", Right: "20", Top: "30", Bottom: "24", Contain: true, X: chart.Axis{Unit: out.Unit},
	}
	for _, r := range slices.Backward(out.Rows) { // the axis runs upwards
		f.Y.Positions = append(f.Y.Positions, r.Code)
	}
	p := chart.New(f)
	round := func(v float64) float64 { return math.Round(v*10) / 10 }
	for i, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		look := chart.Looks[string(side)]
		bar := chart.Stroke{Look: chart.Look{Colour: look.Colour, Line: "solid"}, Width: 2, Opacity: 0.5}
		var dots []chart.Dot
		for _, r := range out.Rows {
			if r.Side == side {
				p.Interval(r.Code, bar, round(r.Value-r.SD), round(r.Value+r.SD))
				dots = append(dots, chart.Dot{Value: round(r.Value), Row: r.Code})
			}
		}
		p.Dots(f.Key[i], look, [...]string{"circle", "diamond"}[i], dots)
	}
	out.Chart, err = p.Finish(chart.Chart{
		ID: "spread-" + string(s.Task), Box: template.CSS(fmt.Sprintf("height:%dpx", 60+spreadRow*len(out.Rows))),
		Caption: loc.Say("%s: %s, inwards to the right. The worse leg of each, mean of the day ± 1 standard deviation; %s.", locale.Capital(loc.Task(s.Task, kinematics.Both)), loc.MeasureWords(s.Measure), loc.Count(len(out.Rows), "athlete")),
	})
	return out, err == nil, err
}
