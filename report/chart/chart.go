// Package chart builds the charts of the pages. go-echarts is used as a builder of options
// only: a page inlines them as JSON beside one pinned build of echarts (report/assets/echarts).
package chart

import (
	"encoding/json"
	"fmt"
	"html/template"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"
)

// Chart is one figure: its options for the library and what it says in words.
type Chart struct {
	ID      string
	Caption string
	Options template.JS  // JSON with < escaped, safe inside a script element
	Box     template.CSS // of its drawing, where the usual is not right
	Short   bool         // its drawing is less high than the usual
}

// Frame is what every chart stands in: the key of its series, its margins and its axes.
type Frame struct {
	Key                      []string // names of its series
	KeyOfOne                 bool     // the key is shown for a single series too
	Left, Right, Top, Bottom string   // margins, px
	Contain                  bool     // the labels of the axes lie within the margins
	X, Y                     Axis
}

// Axis is one axis of a chart.
type Axis struct {
	Positions []string // by name; none on an axis of numbers
	Every     int      // so many positions have a label; 0 leaves that to the library
	Name      string   // said along the axis; may be empty
	Unit      string   // behind its numbers
	Reach     float64  // from −Reach to Reach; 0 for as far as the values go
}

// Plot is a chart while its series are put in.
type Plot struct {
	line  *charts.Line
	frame Frame
}

// New begins a chart in its frame. Nothing in it is animated.
func New(f Frame) *Plot {
	line := charts.NewLine()
	line.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(len(f.Key) > 1 || f.KeyOfOne), Data: f.Key, Top: "0"}),
		charts.WithGridOpts(f.grid()),
		charts.WithXAxisOpts(f.X.across()),
		charts.WithYAxisOpts(f.Y.up()),
	)
	if f.X.Positions != nil {
		line.SetXAxis(f.X.Positions)
	}
	return &Plot{line, f}
}

func (f Frame) grid() opts.Grid {
	g := opts.Grid{Left: f.Left, Right: f.Right, Top: f.Top, Bottom: f.Bottom}
	if f.Contain {
		g.ContainLabel = opts.Bool(true)
	}
	return g
}

func (a Axis) across() opts.XAxis {
	x := opts.XAxis{Type: "value"}
	if a.Positions != nil {
		x.Type, x.Position = "category", "bottom"
	} else {
		x.AxisLabel = a.numbers()
	}
	if a.Name != "" {
		x.Name, x.NameLocation, x.NameGap = a.Name, "middle", 28
	}
	if a.Reach > 0 {
		x.Min, x.Max = -a.Reach, a.Reach
	}
	return x
}

func (a Axis) up() opts.YAxis {
	switch {
	case a.Positions != nil:
		return opts.YAxis{Type: "category", Data: a.Positions, AxisLabel: &opts.AxisLabel{ShowMinLabel: opts.Bool(true), ShowMaxLabel: opts.Bool(true)}}
	case a.Reach > 0:
		return opts.YAxis{Type: "value", Min: -a.Reach, Max: a.Reach, AxisLabel: a.numbers()}
	}
	return opts.YAxis{Type: "value", Scale: opts.Bool(true), AxisLabel: a.numbers()}
}

func (a Axis) numbers() *opts.AxisLabel {
	return &opts.AxisLabel{Formatter: types.FuncStr("{value}" + a.Unit)}
}

// Finish gives a chart its options.
func (p *Plot) Finish(c Chart) (Chart, error) {
	p.line.Validate()
	o, err := options(p.line, p.frame.X.Every)
	if err != nil {
		return c, fmt.Errorf("the chart %s could not be made: %w", c.ID, err)
	}
	c.Options = o
	return c, nil
}

// options turns a chart into JSON for the page. Marshal escapes < and refuses NaN,
// which the library's own renderer does not. Settings that the option types
// lack are made here, such as this: the band of a curve is a difference stacked on its lower
// edge, which across zero needs the strategy "all". Every so many positions of the axis
// have a label; 0 leaves that to the library.
func options(line *charts.Line, every int) (template.JS, error) {
	raw, err := json.Marshal(line.JSON())
	if err != nil {
		return "", err
	}
	var o map[string]any
	if err := json.Unmarshal(raw, &o); err != nil {
		return "", err
	}
	for _, e := range asList(o["series"]) {
		if m, ok := e.(map[string]any); ok && m["stack"] != nil {
			m["stackStrategy"] = "all"
			m["silent"] = true
		}
		stagger(e)
	}
	for _, e := range asList(o["xAxis"]) {
		if m, ok := e.(map[string]any); ok {
			m["boundaryGap"] = false // the curve starts on the axis
			if every > 0 {
				tick := map[string]any{"interval": every - 1}
				m["axisLabel"], m["axisTick"] = tick, tick
			}
			m["axisLine"] = map[string]any{"onZero": false}
		}
	}
	raw, err = json.Marshal(o)
	return template.JS(raw), err
}

// stagger lifts the names of events in three steps, so that those of contact, deepest point
// and stillness do not run into one another on a phone.
func stagger(series any) {
	m, _ := series.(map[string]any)
	line, _ := m["markLine"].(map[string]any)
	for i, e := range asList(line["data"]) {
		if item, ok := e.(map[string]any); ok && i%3 > 0 {
			item["label"] = map[string]any{"distance": 5 + 13*(i%3)}
		}
	}
}

func asList(v any) []any {
	l, _ := v.([]any)
	return l
}
