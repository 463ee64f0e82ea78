package report

import (
	"fmt"
	"math"
	"strings"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"
	"gonum.org/v1/gonum/stat"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// ellipsePoints is of how many points an ellipse is drawn.
const ellipsePoints = 72

// holdChart draws the way of the hips during the hold with its 95 % ellipse; ok is false
// where no hold was measured.
func holdChart(loc locale.Locale, r scoring.Result, v scoring.ViewResult) (c chart, ok bool, err error) {
	s := r.Series[string(v.View)]
	across, up := s["hold_across_cm"], s["hold_up_cm"]
	var x, y []float64
	for i := range min(len(across), len(up)) {
		if across[i] != nil && up[i] != nil {
			x, y = append(x, *across[i]), append(y, *up[i])
		}
	}
	e := kinematics.NewEllipse(x, y)
	if e.Major == 0 {
		return c, false, nil
	}
	middle := [2]float64{stat.Mean(x, nil), stat.Mean(y, nil)}
	turn := e.AngleDeg * math.Pi / 180
	var way, round []opts.LineData
	reach := 1.0 // cm or inches; under that all is noise
	put := func(to *[]opts.LineData, px, py float64) {
		*to = append(*to, opts.LineData{Value: []float64{math.Round(px*100) / 100, math.Round(py*100) / 100}})
		reach = math.Max(reach, math.Max(math.Abs(px), math.Abs(py)))
	}
	for i := range x {
		put(&way, x[i], y[i])
	}
	for k := range ellipsePoints + 1 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / ellipsePoints)
		a, b := e.Major*cos, e.Minor*sin
		put(&round, middle[0]+a*math.Cos(turn)-b*math.Sin(turn), middle[1]+a*math.Sin(turn)+b*math.Cos(turn))
	}
	reach = 2 * math.Ceil(reach/2) // for round numbers on the axes
	line := charts.NewLine()
	name, cm := loc.Say("to the side"), types.FuncStr("{value} "+loc.CM())
	if v.View.IsSide() {
		name = loc.Say("forwards and back")
	}
	line.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(true), Data: []string{loc.Say("way of the hips"), loc.Say("95 % ellipse")}, Top: "0"}),
		charts.WithGridOpts(opts.Grid{Left: "52", Right: "16", Top: "34", Bottom: "44"}),
		charts.WithXAxisOpts(opts.XAxis{Type: "value", Name: name, NameLocation: "middle", NameGap: 28, Min: -reach, Max: reach, AxisLabel: &opts.AxisLabel{Formatter: cm}}),
		charts.WithYAxisOpts(opts.YAxis{Type: "value", Min: -reach, Max: reach, AxisLabel: &opts.AxisLabel{Formatter: cm}}),
	)
	line.AddSeries(loc.Say("way of the hips"), way, lineLook(looks["left"], 1.6, 1)...)
	line.AddSeries(loc.Say("95 % ellipse"), round, lineLook(looks["right"], 2.2, 1)...)
	line.Validate()
	o, err := options(line, 0)
	if err != nil {
		return c, false, fmt.Errorf("the chart of the hold could not be made: %w", err)
	}
	words := ""
	for _, m := range r.Measures {
		if m.Name == "hold_ellipse" && m.View == v.View {
			words = " " + loc.Say("Without what noise adds its area is %s.", loc.PlusMinus(m.Value, m.SD)+locale.Unit(m.Unit))
		}
	}
	return chart{
		ID:      "hold-" + strings.ReplaceAll(string(v.View), "_", "-"),
		Caption: loc.Say("The hips during the hold, %s, and the ellipse that holds 95 %% of their places.", loc.ViewSeen(v.View)) + words,
		Options: o, Box: "width:320px;max-width:100%;height:316px",
	}, true, nil
}
