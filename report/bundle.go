package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"

	"steadfall/kinematics"
	"steadfall/report/locale"
)

// A bundle is one quantity of all trials in one chart: each trial faint, the mean of a leg
// strong. It is drawn over time from contact, and over the share of the way from contact to
// still, where trials of different length line up.
const (
	bundleStep  = 2   // positions of the time axis between two that are drawn
	bundleParts = 100 // of the way from contact to still
	faint       = 0.3
)

// strand is one curve of one trial, from contact on.
type strand struct {
	side   string
	atTime func(s float64) float64 // at seconds from contact; NaN where not seen
	lastS  float64
	stillS float64 // NaN where the athlete was never still
}

// bundles are the charts of all trials: views from the side are one, whichever side.
func bundles(loc locale.Locale, all []PhysioTrial) ([]chart, error) {
	var out []chart
	for _, view := range []struct {
		id, words string
		side      bool
	}{{"front", "from the front", false}, {"side", "from the side", true}} {
		for _, f := range figures {
			strands := strandsOf(all, f.curve, view.side)
			if len(strands) == 0 {
				continue
			}
			for _, normal := range []bool{false, true} {
				c, ok, err := bundle(loc, loc.Say(f.title), locale.Unit(loc.UnitOf(f.unit)), loc.Say(view.words), strands, normal)
				if err != nil {
					return nil, err
				}
				if ok {
					c.ID = fmt.Sprintf("bundle-%s-%s-%t", view.id, strings.ReplaceAll(f.curve, "_", "-"), normal)
					out = append(out, c)
				}
			}
		}
	}
	return out, nil
}

func strandsOf(all []PhysioTrial, curve string, side bool) []strand {
	var out []strand
	for _, t := range all {
		for _, v := range t.Result.Views {
			if v.View.IsSide() != side {
				continue
			}
			s := t.Result.Series[string(v.View)]
			zero := zeroTime(v)
			for _, name := range sidesOf(s, curve) {
				leg := sideOf(name)
				if t.Limb != kinematics.Both && leg != "" && leg != string(t.Limb) {
					continue // the leg in the air
				}
				still := math.NaN()
				for _, e := range v.Events {
					if e.Name == kinematics.StillFrom {
						still = e.TimeS - zero
					}
				}
				out = append(out, strand{leg, func(x float64) float64 { return at(s["time_s"], s[name], zero+x) }, lastTime(s) - zero, still})
			}
		}
	}
	return out
}

// bundle draws the strands; ok is false where none can be.
func bundle(loc locale.Locale, title, unit, view string, all []strand, normal bool) (c chart, ok bool, err error) {
	var axis []string
	var where func(s strand, k int) float64 // seconds from contact of a position
	name, every := loc.Say("seconds from contact"), perSecond/bundleStep/2
	if normal {
		all = slices.DeleteFunc(slices.Clone(all), func(s strand) bool { return math.IsNaN(s.stillS) || s.stillS <= 0 })
		for k := range bundleParts + 1 {
			axis = append(axis, strconv.Itoa(k*100/bundleParts))
		}
		where = func(s strand, k int) float64 { return s.stillS * float64(k) / bundleParts }
		name, every = loc.Say("% of the way from contact to still"), bundleParts/5
	} else {
		longest := 0.0
		for _, s := range all {
			longest = math.Max(longest, math.Min(s.lastS, secondsAfter))
		}
		for k := 0; k <= position(longest); k += bundleStep {
			axis = append(axis, loc.Fixed(1, float64(k)/perSecond-secondsBefore))
		}
		where = func(_ strand, k int) float64 { return float64(k*bundleStep)/perSecond - secondsBefore }
	}
	if len(all) == 0 {
		return c, false, nil
	}
	line := charts.NewLine()
	var sides, legend []string
	for _, s := range all {
		if !slices.Contains(sides, s.side) {
			sides = append(sides, s.side)
			legend = append(legend, meanWords(loc, s.side))
		}
	}
	line.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(true), Data: legend, Top: "0"}),
		charts.WithGridOpts(opts.Grid{Left: "52", Right: "16", Top: "34", Bottom: "44"}),
		charts.WithXAxisOpts(opts.XAxis{Type: "category", Name: name, NameLocation: "middle", NameGap: 28, Position: "bottom"}),
		charts.WithYAxisOpts(opts.YAxis{Type: "value", Scale: opts.Bool(true), AxisLabel: &opts.AxisLabel{Formatter: types.FuncStr("{value}" + unit)}}),
	)
	line.SetXAxis(axis)
	trials := 0
	for _, side := range sides {
		l := looks[side]
		var of []strand
		for _, s := range all {
			if s.side == side {
				of = append(of, s)
			}
		}
		trials = max(trials, len(of))
		for i, s := range of {
			line.AddSeries(fmt.Sprintf("%s %d", side, i+1), drawn(len(axis), func(k int) float64 { return s.atTime(where(s, k)) }), lineLook(l, 1, faint)...)
		}
		line.AddSeries(meanWords(loc, side), drawn(len(axis), func(k int) float64 { return meanAt(of, where, k) }), lineLook(l, 2.8, 1)...)
	}
	line.Validate()
	o, err := options(line, every)
	if err != nil {
		return c, false, fmt.Errorf("the chart of %s could not be made: %w", title, err)
	}
	how := loc.Say("contact at 0")
	if normal {
		how = loc.Say("from contact to still")
	}
	return chart{Caption: fmt.Sprintf("%s, %s, %s; %s.", title, view, how, loc.Count(trials, "trial")), Options: o, Short: true}, true, nil
}

func meanWords(loc locale.Locale, side string) string {
	if side == "" {
		return loc.Say("mean")
	}
	return loc.Say(side + " leg, mean")
}

// meanAt is the mean of the strands at a position where all are seen: where one begins or
// ends, the mean of fewer would jump.
func meanAt(all []strand, where func(strand, int) float64, k int) float64 {
	sum := 0.0
	for _, s := range all {
		sum += s.atTime(where(s, k))
	}
	return sum / float64(len(all))
}

func drawn(n int, value func(k int) float64) []opts.LineData {
	out := make([]opts.LineData, n)
	for k := range out {
		if v := value(k); !math.IsNaN(v) {
			out[k].Value = math.Round(v*10) / 10
		}
	}
	return out
}

func lineLook(l look, width, opacity float32) []charts.SeriesOpts {
	return []charts.SeriesOpts{
		charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(false)}),
		charts.WithLineStyleOpts(opts.LineStyle{Color: l.colour, Type: l.line, Width: width, Opacity: opts.Float(opacity)}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: l.colour}),
	}
}
