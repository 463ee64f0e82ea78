package landing

import (
	"fmt"
	"math"
	"strings"

	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/chart"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// charts are one figure for each quantity of each view, and that of its hold.
func charts(loc locale.Locale, r scoring.Result) ([]chart.Chart, error) {
	var out []chart.Chart
	for _, v := range r.Views {
		s := r.Series[string(v.View)]
		for _, of := range report.Curves {
			if len(of.In(s)) == 0 {
				continue
			}
			c, err := curveChart(loc, of, s, v)
			if err != nil {
				return nil, err
			}
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

// curveChart draws a curve of a view, each leg with a band of one standard deviation.
func curveChart(loc locale.Locale, of report.Curve, s scoring.Series, v scoring.ViewResult) (chart.Chart, error) {
	zero, title, names := report.ZeroTime(v), loc.Say(of.Title), of.In(s)
	f := chart.Frame{
		Left: "52", Right: "16", Top: "70", Bottom: "44",
		X: chart.TimeAxis(loc, report.LastTime(s)-zero, 1), Y: chart.Axis{Unit: locale.Unit(loc.UnitOf(of.Unit))},
	}
	for _, name := range names {
		f.Key = append(f.Key, curveWords(loc, name, title))
	}
	p := chart.New(f)
	for i, name := range names {
		look := chart.Looks[report.SideOf(name)]
		low, height, mid := band(s, name, zero, len(f.X.Positions))
		p.Band(name, look, low, height)
		stroke := chart.Stroke{Look: look, Width: 2.4}
		if i == 0 {
			p.MarkedCurve(f.Key[i], stroke, mid, marks(loc, v, zero))
		} else {
			p.Curve(f.Key[i], stroke, mid)
		}
	}
	return p.Finish(chart.Chart{
		ID:      fmt.Sprintf("chart-%s-%s", strings.ReplaceAll(string(v.View), "_", "-"), strings.ReplaceAll(of.Name, "_", "-")),
		Caption: caption(loc, title, names, s, v),
	})
}

// band is the curve's lower edge, the height of its band (two standard
// deviations: one down and one up), and the curve itself. A gap is NaN.
func band(s scoring.Series, name string, zero float64, n int) (low, height, mid []float64) {
	to := func(y float64) float64 { return math.Round(y*100) / 100 }
	for k := range n {
		t := zero - chart.SecondsBefore + float64(k)/chart.PerSecond
		v, sd := report.At(s["time_s"], s[name], t), report.At(s["time_s"], s[name+"_sd"], t)
		low, height, mid = append(low, to(v-sd)), append(height, to(2*sd)), append(mid, to(v))
	}
	return low, height, mid
}

// eventMarks are the events that charts mark.
var eventMarks = map[kinematics.EventName]string{
	kinematics.InitialContact: locale.Message("contact"),
	kinematics.Lowest:         locale.Message("deepest"),
	kinematics.StillFrom:      locale.Message("still"),
	kinematics.HoldEnd:        locale.Message("end"),
	kinematics.Takeoff:        locale.Message("take-off"),
}

// marks are the events; of two contacts only the first.
func marks(loc locale.Locale, v scoring.ViewResult, zero float64) []chart.Mark {
	seen := map[string]bool{}
	var out []chart.Mark
	for _, e := range v.Events {
		word := eventMarks[e.Name]
		x := e.TimeS - zero
		if word == "" || seen[word] || x < -chart.SecondsBefore || x > chart.SecondsAfter {
			continue
		}
		seen[word] = true
		out = append(out, chart.Mark{Name: loc.Say(word), Position: chart.Position(x)})
	}
	return out
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

func curveWords(loc locale.Locale, name, title string) string {
	if side := report.SideOf(name); side != "" {
		return loc.Say(side + " leg")
	}
	return title
}
