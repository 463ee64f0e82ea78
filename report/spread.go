package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"

	"steadfall/kinematics"
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
	chart
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
	line := charts.NewLine()
	var codes []string
	for _, r := range slices.Backward(out.Rows) { // the axis runs upwards
		codes = append(codes, r.Code)
	}
	line.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(true), Data: []string{legWords(loc, kinematics.Left), legWords(loc, kinematics.Right)}, Top: "0"}),
		charts.WithGridOpts(opts.Grid{Left: "16", Right: "20", Top: "30", Bottom: "24", ContainLabel: opts.Bool(true)}),
		charts.WithXAxisOpts(opts.XAxis{Type: "value", AxisLabel: &opts.AxisLabel{Formatter: types.FuncStr("{value}" + out.Unit)}}),
		charts.WithYAxisOpts(opts.YAxis{Type: "category", Data: codes, AxisLabel: &opts.AxisLabel{ShowMinLabel: opts.Bool(true), ShowMaxLabel: opts.Bool(true)}}),
	)
	round := func(v float64) float64 { return math.Round(v*10) / 10 }
	for _, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		l := looks[string(side)]
		var dots []opts.LineData
		for _, r := range out.Rows {
			if r.Side != side {
				continue
			}
			line.AddSeries(r.Code, []opts.LineData{{Value: []any{round(r.Value - r.SD), r.Code}}, {Value: []any{round(r.Value + r.SD), r.Code}}}, lineLook(look{l.colour, "solid"}, 2, 0.5)...)
			dots = append(dots, opts.LineData{Value: []any{round(r.Value), r.Code}})
		}
		symbol := map[kinematics.Side]string{kinematics.Left: "circle", kinematics.Right: "diamond"}[side]
		line.AddSeries(legWords(loc, side), dots,
			charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(true), Symbol: symbol, SymbolSize: 10}),
			charts.WithLineStyleOpts(opts.LineStyle{Opacity: opts.Float(0)}),
			charts.WithItemStyleOpts(opts.ItemStyle{Color: l.colour}))
	}
	line.Validate()
	o, err := options(line, 0)
	if err != nil {
		return out, false, fmt.Errorf("the chart of the squad could not be made: %w", err)
	}
	out.chart = chart{
		ID: "spread-" + string(s.Task), Options: o, Box: boxHigh(60 + spreadRow*len(out.Rows)),
		Caption: loc.Say("%s: %s, inwards to the right. The worse leg of each, mean of the day ± 1 standard deviation; %s.", locale.Capital(loc.Task(s.Task, kinematics.Both)), loc.MeasureWords(s.Measure), loc.Count(len(out.Rows), "athlete")),
	}
	return out, true, nil
}
