package report

import (
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"sort"
	"strings"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// chart is one figure: its options for the library and what it says in words.
type chart struct {
	ID      string
	Caption string
	Options template.JS  // JSON with < escaped, safe inside a script element
	Box     template.CSS // of its drawing, where the usual is not right
	Short   bool         // its drawing is less high than the usual
}

// boxHigh is the box of a drawing of so many px.
func boxHigh(px int) template.CSS { return template.CSS(fmt.Sprintf("height:%dpx", px)) }

// The look of a curve: colour (Okabe and Ito 2008) and line, so that left and
// right differ without colour too.
type look struct{ colour, line string }

var looks = map[string]look{
	"left":  {"#0072B2", "solid"},
	"right": {"#B36B00", "dashed"}, // the palette's orange, darkened for print
	"":      {"#444444", "solid"},
}

// figures are the charts in their order: which curves, what they are, and their unit.
var figures = []struct{ curve, title, unit string }{
	{"fppa_deg", locale.Message("Knee in (+) or out (−)"), "deg"},
	{"knee_flexion_deg", locale.Message("Knee bend"), "deg"},
	{"hip_height_cm", locale.Message("Hip height above the landing floor"), "cm"},
}

// Charts show from before contact until after the hold has begun, in seconds.
const (
	secondsBefore = 0.5
	secondsAfter  = 3.5
)

// chartsOf builds one figure for each quantity of each view, and that of its hold.
func chartsOf(loc locale.Locale, r scoring.Result) ([]chart, error) {
	var out []chart
	for _, v := range r.Views {
		series := r.Series[string(v.View)]
		zero := zeroTime(v)
		for _, f := range figures {
			names := sidesOf(series, f.curve)
			if len(names) == 0 {
				continue
			}
			c, err := figure(loc, loc.Say(f.title), locale.Unit(loc.UnitOf(f.unit)), names, series, v, zero)
			if err != nil {
				return nil, err
			}
			c.ID = fmt.Sprintf("chart-%s-%s", strings.ReplaceAll(string(v.View), "_", "-"), strings.ReplaceAll(f.curve, "_", "-"))
			out = append(out, c)
		}
		c, ok, err := holdChart(loc, r, v)
		if err != nil {
			return nil, err
		}
		if ok {
			out = append(out, c)
		}
	}
	return out, nil
}

// sidesOf are the names of a curve in a series: of each leg, or of the body.
func sidesOf(s scoring.Series, curve string) (names []string) {
	for _, side := range []string{"left_", "right_", ""} {
		if _, ok := s[side+curve]; ok {
			names = append(names, side+curve)
		}
	}
	return names
}

// CurveName is one curve of a series in the words of the reports. Side is left, right, or
// empty for the body.
type CurveName struct{ Name, Words, Unit, Side string }

// CurveNames are the curves of a series that reports show, in their order.
func CurveNames(s scoring.Series) []CurveName {
	var out []CurveName
	for _, f := range figures {
		for _, name := range sidesOf(s, f.curve) {
			out = append(out, CurveName{name, f.title, strings.TrimSpace(locale.Unit(f.unit)), sideOf(name)})
		}
	}
	return out
}

// zeroTime is the contact, or where there is none the start of the movement.
func zeroTime(v scoring.ViewResult) float64 {
	for _, want := range []kinematics.EventName{kinematics.InitialContact, kinematics.DropStart} {
		for _, e := range v.Events {
			if e.Name == want {
				return e.TimeS
			}
		}
	}
	return 0
}

func figure(loc locale.Locale, title, unit string, names []string, s scoring.Series, v scoring.ViewResult, zero float64) (chart, error) {
	line := charts.NewLine()
	n := position(math.Min(secondsAfter, lastTime(s)-zero)) + 1
	axis := make([]string, max(n, 1))
	for k := range axis {
		axis[k] = loc.Fixed(1, float64(k)/perSecond-secondsBefore)
	}
	var legend []string
	for _, n := range names {
		legend = append(legend, curveWords(loc, n, title))
	}
	line.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(len(names) > 1), Data: legend, Top: "0"}),
		charts.WithGridOpts(opts.Grid{Left: "52", Right: "16", Top: "70", Bottom: "44"}),
		charts.WithXAxisOpts(opts.XAxis{Type: "category", Name: loc.Say("seconds from contact"), NameLocation: "middle", NameGap: 28, Position: "bottom"}),
		charts.WithYAxisOpts(opts.YAxis{Type: "value", Scale: opts.Bool(true), AxisLabel: &opts.AxisLabel{Formatter: types.FuncStr("{value}" + unit)}}),
	)
	line.SetXAxis(axis)
	for i, name := range names {
		l := looks[sideOf(name)]
		low, high, mid := band(s, name, zero, n)
		addBand(line, name, l, low, high)
		options := []charts.SeriesOpts{
			charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(false)}),
			charts.WithLineStyleOpts(opts.LineStyle{Color: l.colour, Type: l.line, Width: 2.4}),
			charts.WithItemStyleOpts(opts.ItemStyle{Color: l.colour}),
		}
		if i == 0 {
			options = append(options, marks(loc, v, zero)...)
		}
		line.AddSeries(curveWords(loc, name, title), mid, options...)
	}
	line.Validate()
	o, err := options(line, perSecond/2)
	if err != nil {
		return chart{}, fmt.Errorf("the chart of %s could not be made: %w", title, err)
	}
	return chart{Caption: caption(loc, title, names, s, v), Options: o}, nil
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

// A curve is drawn at every hundredth of a second from contact on, interpolated:
// the library stacks a band on its lower edge only over named positions, and equal
// positions for all curves make the axis read in round numbers.
const perSecond = 100

// position is the place of a time from contact on that axis.
func position(x float64) int { return int(math.Round((x + secondsBefore) * perSecond)) }

// band is the curve's lower edge, the height of its band (two standard
// deviations: one down and one up), and the curve itself. A gap is empty.
func band(s scoring.Series, name string, zero float64, n int) (low, height, mid []opts.LineData) {
	to := func(y float64) any {
		if math.IsNaN(y) {
			return nil
		}
		return math.Round(y*100) / 100
	}
	for k := range n {
		t := zero - secondsBefore + float64(k)/perSecond
		v, sd := at(s["time_s"], s[name], t), at(s["time_s"], s[name+"_sd"], t)
		low = append(low, opts.LineData{Value: to(v - sd)})
		height = append(height, opts.LineData{Value: to(2 * sd)})
		mid = append(mid, opts.LineData{Value: to(v)})
	}
	return low, height, mid
}

// at interpolates a curve at a time; NaN outside and in gaps.
func at(times, v []*float64, t float64) float64 {
	i := sort.Search(len(times), func(i int) bool { return *times[i] > t }) - 1
	if i < 0 || i >= len(times) || v[i] == nil {
		return math.NaN()
	}
	if i+1 == len(times) {
		if *times[i] == t {
			return *v[i]
		}
		return math.NaN()
	}
	if v[i+1] == nil {
		return math.NaN()
	}
	f := (t - *times[i]) / (*times[i+1] - *times[i])
	return *v[i]*(1-f) + *v[i+1]*f
}

// momentWords are the events that charts mark.
var momentWords = map[kinematics.EventName]string{
	kinematics.InitialContact: locale.Message("contact"),
	kinematics.Lowest:         locale.Message("deepest"),
	kinematics.StillFrom:      locale.Message("still"),
	kinematics.HoldEnd:        locale.Message("end"),
	kinematics.Takeoff:        locale.Message("take-off"),
}

// marks are upright lines at the events; of two contacts only the first.
func marks(loc locale.Locale, v scoring.ViewResult, zero float64) []charts.SeriesOpts {
	seen := map[string]bool{}
	var items []opts.MarkLineNameXAxisItem
	for _, e := range v.Events {
		word := momentWords[e.Name]
		x := e.TimeS - zero
		if word == "" || seen[word] || x < -secondsBefore || x > secondsAfter {
			continue
		}
		seen[word] = true
		items = append(items, opts.MarkLineNameXAxisItem{Name: loc.Say(word), XAxis: position(x)})
	}
	return []charts.SeriesOpts{
		charts.WithMarkLineNameXAxisItemOpts(items...),
		charts.WithMarkLineStyleOpts(opts.MarkLineStyle{
			Symbol:    []string{"none", "none"},
			Label:     &opts.Label{Show: opts.Bool(true), Formatter: "{b}", Color: "#333333"},
			LineStyle: &opts.LineStyle{Color: "#666666", Type: "dotted", Width: 1},
		}),
	}
}

// caption says what the curve shows, for readers who do not see it: where it is
// furthest and when, per leg, and that gaps are gaps.
func caption(loc locale.Locale, title string, names []string, s scoring.Series, v scoring.ViewResult) string {
	text := loc.Say("%s, %s. Line: value; band: ± 1 standard deviation.", title, loc.ViewSeen(v.View))
	for _, n := range names {
		gaps := 0
		for _, x := range s[n] {
			if x == nil {
				gaps++
			}
		}
		if gaps > 0 {
			text += " " + loc.Say("The %s was not seen on %d of %d samples; the line breaks there.", curveWords(loc, n, loc.Say("curve")), gaps, len(s[n]))
		}
	}
	return text
}

func lastTime(s scoring.Series) float64 {
	t := s["time_s"]
	if len(t) == 0 {
		return 0
	}
	return *t[len(t)-1]
}

func sideOf(name string) string {
	for _, side := range []string{"left", "right"} {
		if strings.HasPrefix(name, side+"_") {
			return side
		}
	}
	return ""
}

func curveWords(loc locale.Locale, name, title string) string {
	if side := sideOf(name); side != "" {
		return loc.Say(side + " leg")
	}
	return title
}
