package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// AthletePage is one athlete over the season.
type AthletePage struct {
	Frame    Frame
	Squad    string
	Invented bool
	Made     time.Time
	Tool     string
	Code     string
	Name     string
	Row      SquadRow
	Progress []scoring.Progress
	Jumps    []scoring.JumpSummary // of the newest session with jumps
	JumpDate string
	Decided  []DecisionRow
	Trials   []TrialRow
	Links    []Link // to more
	Locale   locale.Locale
}

// DecisionRow is one decision about the athlete.
type DecisionRow struct{ Date, Step, Told, Reason, By string }

// TrialRow is one trial of the athlete.
type TrialRow struct {
	ID     int64 // in the archive
	Date   string
	What   scoring.Sentence // task, leg and number
	Errors int
	Most   int
	Link   string
}

// progressMeasures are drawn, where the athlete has them; the tables hold all.
var progressMeasures = []string{"fppa_peak", "knee_flexion_peak", "landing_depth", "hold_time", "hold_path", "jump_height", "reactive_strength"}

type athleteView struct {
	shell
	Page     AthletePage
	Headline string
	Charts   []chart
	Tasks    []taskProgress
	Real     []scoring.Progress // that changed for real since the first session
	Stretch  string
}

// taskProgress are the measures of one task on one leg or both.
type taskProgress struct {
	Words string
	Rows  []scoring.Progress
}

// WriteAthlete writes an athlete's page: where they stand, what changed for real, and every
// measure over the sessions.
func WriteAthlete(w io.Writer, p AthletePage) error {
	title := p.Code
	if p.Name != "" {
		title += ", " + p.Name
	}
	s := p.Locale
	p.Progress, p.Jumps = s.Progress(p.Progress), s.Jumps(p.Jumps)
	v := athleteView{shell: newShell(s, title, p.Invented, p.Made, p.Tool, p.Frame).withCharts(), Page: p, Headline: s.Earned(p.Row.Standing.Verdict)}
	for _, pr := range p.Progress {
		what := s.Task(pr.Task, pr.Limb)
		i := slices.IndexFunc(v.Tasks, func(t taskProgress) bool { return t.Words == what })
		if i < 0 {
			i = len(v.Tasks)
			v.Tasks = append(v.Tasks, taskProgress{Words: what})
		}
		v.Tasks[i].Rows = append(v.Tasks[i].Rows, pr)
		if pr.SinceFirst != nil && pr.SinceFirst.Verdict == scoring.RealChange {
			v.Real = append(v.Real, pr)
		}
	}
	for i, t := range v.Tasks {
		for _, name := range progressMeasures {
			c, ok, err := progressChart(s, t, name)
			if err != nil {
				return err
			}
			if ok {
				c.ID = fmt.Sprintf("progress-%d-%s", i, strings.ReplaceAll(name, "_", "-"))
				v.Charts = append(v.Charts, c)
			}
		}
	}
	if ratio, sd, ok := scoring.StretchGain(p.Jumps); ok {
		v.Stretch = s.PlusMinus(ratio, sd)
	}
	return render(w, s, "athlete.html", v)
}

// progressChart draws a measure of a task over the sessions, each leg its own line with a
// band of one standard deviation. ok is false where there are under two sessions.
func progressChart(loc locale.Locale, t taskProgress, name string) (c chart, ok bool, err error) {
	var lines []scoring.Progress
	var dates []string
	for _, p := range t.Rows {
		// The view that the athlete was filmed from most often speaks for a measure.
		i := slices.IndexFunc(lines, func(q scoring.Progress) bool { return q.Side == p.Side })
		switch {
		case p.Name != name || len(p.Sessions) < 2:
			continue
		case i < 0:
			lines = append(lines, p)
		case len(p.Sessions) > len(lines[i].Sessions):
			lines[i] = p
		}
	}
	for _, p := range lines {
		for _, s := range p.Sessions {
			if !slices.Contains(dates, s.Date) {
				dates = append(dates, s.Date)
			}
		}
	}
	if len(lines) == 0 {
		return c, false, nil
	}
	slices.Sort(dates)
	line := charts.NewLine()
	var legend, short []string
	within := ""
	for _, d := range dates {
		short = append(short, loc.ShortDay(d))
	}
	for _, p := range lines {
		legend = append(legend, legWords(loc, p.Side))
	}
	line.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(len(lines) > 1), Data: legend, Top: "0"}),
		charts.WithGridOpts(opts.Grid{Left: "56", Right: "20", Top: "34", Bottom: "30"}),
		charts.WithXAxisOpts(opts.XAxis{Type: "category", Position: "bottom"}),
		charts.WithYAxisOpts(opts.YAxis{Type: "value", Scale: opts.Bool(true), AxisLabel: &opts.AxisLabel{Formatter: types.FuncStr("{value}" + locale.Unit(lines[0].Unit))}}),
	)
	line.SetXAxis(short)
	for _, p := range lines {
		look := looks[""]
		if p.Side != kinematics.Both {
			look = looks[string(p.Side)]
		}
		var low, high, mid []opts.LineData
		for _, d := range dates {
			i := slices.IndexFunc(p.Sessions, func(s scoring.SessionMean) bool { return s.Date == d })
			if i < 0 {
				low, high, mid = append(low, opts.LineData{}), append(high, opts.LineData{}), append(mid, opts.LineData{})
				continue
			}
			s := p.Sessions[i]
			to := func(v float64) opts.LineData { return opts.LineData{Value: math.Round(v*1000) / 1000} }
			low, high, mid = append(low, to(s.Mean-s.SD)), append(high, to(2*s.SD)), append(mid, to(s.Mean))
		}
		addBand(line, string(p.Side), look, low, high)
		line.AddSeries(legWords(loc, p.Side), mid,
			charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(true), SymbolSize: 6, ConnectNulls: opts.Bool(true)}),
			charts.WithLineStyleOpts(opts.LineStyle{Color: look.colour, Type: look.line, Width: 2.4}),
			charts.WithItemStyleOpts(opts.ItemStyle{Color: look.colour}))
		if p.SinceFirst != nil {
			addDetectable(line, p, look, len(dates))
			within = " " + loc.Say("The latest session differs from the first by more than noise (95 %) where its point lies outside the dotted lines of its colour.")
		}
	}
	line.Validate()
	o, err := options(line, 0)
	if err != nil {
		return c, false, fmt.Errorf("the chart of %s could not be made: %w", name, err)
	}
	return chart{Caption: loc.Say("%s: %s. Mean of each session; band: ± 1 standard deviation of the mean.", locale.Capital(t.Words), locale.Capital(loc.MeasureWords(name))) + within, Options: o, Short: true}, true, nil
}

// addDetectable draws dotted how far a value must lie from the first session's for the change
// to be detectable in the latest one.
func addDetectable(line *charts.Line, p scoring.Progress, look look, dates int) {
	for _, v := range []float64{p.Sessions[0].Mean - p.SinceFirst.Detectable, p.Sessions[0].Mean + p.SinceFirst.Detectable} {
		data := make([]opts.LineData, dates)
		for i := range data {
			data[i].Value = math.Round(v*1000) / 1000
		}
		line.AddSeries("", data,
			charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(false)}),
			charts.WithLineStyleOpts(opts.LineStyle{Color: look.colour, Type: "dotted", Width: 1}))
	}
}

// addBand adds the area between low and low + height.
func addBand(line *charts.Line, name string, l look, low, height []opts.LineData) {
	for _, edge := range []struct {
		name    string
		data    []opts.LineData
		opacity float32
	}{{name + " low", low, 0}, {name + " band", height, 0.16}} {
		line.AddSeries(edge.name, edge.data,
			charts.WithLineChartOpts(opts.LineChart{Stack: name, ShowSymbol: opts.Bool(false)}),
			charts.WithLineStyleOpts(opts.LineStyle{Opacity: opts.Float(0)}),
			charts.WithAreaStyleOpts(opts.AreaStyle{Color: l.colour, Opacity: opts.Float(edge.opacity)}))
	}
}

func legWords(loc locale.Locale, side kinematics.Side) string {
	if side == kinematics.Both {
		return loc.Say("mean of both")
	}
	return loc.Leg(side)
}
