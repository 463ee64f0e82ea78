package chart

import (
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// Look is the colour (Okabe and Ito 2008) and the line of a curve, so that left and right
// differ without colour too.
type Look struct{ Colour, Line string }

// Looks are those of the legs, by side, and of the body.
var Looks = map[string]Look{
	"left":  {"#0072B2", "solid"},
	"right": {"#B36B00", "dashed"}, // the palette's orange, darkened for print
	"":      {"#444444", "solid"},
}

// Stroke is how a curve is drawn.
type Stroke struct {
	Look
	Width   float32 // px
	Opacity float32 // 0 leaves that to the library
}

func (s Stroke) options() []charts.SeriesOpts {
	line := opts.LineStyle{Color: s.Colour, Type: s.Line, Width: s.Width}
	if s.Opacity > 0 {
		line.Opacity = opts.Float(s.Opacity)
	}
	return []charts.SeriesOpts{
		charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(false)}),
		charts.WithLineStyleOpts(line),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: s.Colour}),
	}
}

// Mark is an upright line with its name at a position of the axis.
type Mark struct {
	Name     string
	Position int
}

// values are those of a curve, a position each; NaN leaves a gap.
func values(y []float64) []opts.LineData {
	out := make([]opts.LineData, len(y))
	for i, v := range y {
		if !math.IsNaN(v) {
			out[i].Value = v
		}
	}
	return out
}

// Curve draws values over the positions of the axis, NaN as a gap.
func (p *Plot) Curve(name string, s Stroke, y []float64) {
	p.line.AddSeries(name, values(y), s.options()...)
}

// MarkedCurve draws a curve, and marks.
func (p *Plot) MarkedCurve(name string, s Stroke, y []float64, marks []Mark) {
	var items []opts.MarkLineNameXAxisItem
	for _, m := range marks {
		items = append(items, opts.MarkLineNameXAxisItem{Name: m.Name, XAxis: m.Position})
	}
	p.line.AddSeries(name, values(y), append(s.options(),
		charts.WithMarkLineNameXAxisItemOpts(items...),
		charts.WithMarkLineStyleOpts(opts.MarkLineStyle{
			Symbol:    []string{"none", "none"},
			Label:     &opts.Label{Show: opts.Bool(true), Formatter: "{b}", Color: "#333333"},
			LineStyle: &opts.LineStyle{Color: "#666666", Type: "dotted", Width: 1},
		}))...)
}

// Points draws values with a dot at each, over those that are missing.
func (p *Plot) Points(name string, l Look, y []float64) {
	p.line.AddSeries(name, values(y),
		charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(true), SymbolSize: 6, ConnectNulls: opts.Bool(true)}),
		charts.WithLineStyleOpts(opts.LineStyle{Color: l.Colour, Type: l.Line, Width: 2.4}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: l.Colour}))
}

// Level draws a value dotted along the whole axis.
func (p *Plot) Level(l Look, v float64) {
	y := make([]float64, len(p.frame.X.Positions))
	for i := range y {
		y[i] = v
	}
	p.line.AddSeries("", values(y),
		charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(false)}),
		charts.WithLineStyleOpts(opts.LineStyle{Color: l.Colour, Type: "dotted", Width: 1}))
}

// Band draws the area between low and low + height; its name is nobody else's.
func (p *Plot) Band(name string, l Look, low, height []float64) {
	for _, edge := range []struct {
		name    string
		data    []float64
		opacity float32
	}{{name + " low", low, 0}, {name + " band", height, 0.16}} {
		p.line.AddSeries(edge.name, values(edge.data),
			charts.WithLineChartOpts(opts.LineChart{Stack: name, ShowSymbol: opts.Bool(false)}),
			charts.WithLineStyleOpts(opts.LineStyle{Opacity: opts.Float(0)}),
			charts.WithAreaStyleOpts(opts.AreaStyle{Color: l.Colour, Opacity: opts.Float(edge.opacity)}))
	}
}

// Way draws a way in the plane, x and y.
func (p *Plot) Way(name string, s Stroke, xy [][2]float64) {
	data := make([]opts.LineData, len(xy))
	for i, q := range xy {
		data[i].Value = q
	}
	p.line.AddSeries(name, data, s.options()...)
}

// Interval draws from low to high in a row of the upright axis.
func (p *Plot) Interval(row string, s Stroke, low, high float64) {
	p.line.AddSeries(row, []opts.LineData{{Value: []any{low, row}}, {Value: []any{high, row}}}, s.options()...)
}

// Dot is a value in a row of the upright axis.
type Dot struct {
	Value float64
	Row   string
}

// Dots draws values in their rows; the symbol is one of the library's.
func (p *Plot) Dots(name string, l Look, symbol string, all []Dot) {
	var data []opts.LineData
	for _, d := range all {
		data = append(data, opts.LineData{Value: []any{d.Value, d.Row}})
	}
	p.line.AddSeries(name, data,
		charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(true), Symbol: symbol, SymbolSize: 10}),
		charts.WithLineStyleOpts(opts.LineStyle{Opacity: opts.Float(0)}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: l.Colour}))
}
