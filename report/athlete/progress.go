package athlete

import (
	_ "embed"
	"math"
	"slices"

	"steadfall/kinematics"
	"steadfall/report/chart"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// taskProgress are the measures of one task on one leg or both.
type taskProgress struct {
	Words string
	Rows  []scoring.Progress
}

// progressChart draws a measure of a task over the sessions, each leg its own line with a
// band of one standard deviation. ok is false where there are under two sessions.
func progressChart(loc locale.Locale, t taskProgress, name, id string) (c chart.Chart, ok bool, err error) {
	lines := linesOf(t, name)
	if len(lines) == 0 {
		return c, false, nil
	}
	dates := datesOf(lines)
	f := chart.Frame{Left: "56", Right: "20", Top: "34", Bottom: "30", Y: chart.Axis{Unit: locale.Unit(lines[0].Unit)}}
	for _, d := range dates {
		f.X.Positions = append(f.X.Positions, loc.ShortDay(d))
	}
	for _, p := range lines {
		f.Key = append(f.Key, legWords(loc, p.Side))
	}
	plot := chart.New(f)
	round := func(v float64) float64 { return math.Round(v*1000) / 1000 }
	within := ""
	for k, p := range lines {
		look := chart.Looks[""]
		if p.Side != kinematics.Both {
			look = chart.Looks[string(p.Side)]
		}
		var low, height, mid []float64
		for _, d := range dates {
			mean, sd := meanOn(p, d)
			low, height, mid = append(low, round(mean-sd)), append(height, round(2*sd)), append(mid, round(mean))
		}
		plot.Band(string(p.Side), look, low, height)
		plot.Points(f.Key[k], look, mid)
		if p.SinceFirst != nil { // how far a value must lie from the first session's to be another
			plot.Level(look, round(p.Sessions[0].Mean-p.SinceFirst.Detectable))
			plot.Level(look, round(p.Sessions[0].Mean+p.SinceFirst.Detectable))
			within = " " + loc.Say("The latest session differs from the first by more than noise (95 %) where its point lies outside the dotted lines of its colour.")
		}
	}
	c, err = plot.Finish(chart.Chart{
		ID: id, Short: true,
		Caption: loc.Say("%s: %s. Mean of each session; band: ± 1 standard deviation of the mean.", locale.Capital(t.Words), locale.Capital(loc.MeasureWords(name))) + within,
	})
	return c, err == nil, err
}

// linesOf are a measure of a task over two sessions and more, of each side once: the view that
// the athlete was filmed from most often speaks for it.
func linesOf(t taskProgress, name string) (lines []scoring.Progress) {
	for _, p := range t.Rows {
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
	return lines
}

// datesOf are the days of all sessions, in their order.
func datesOf(lines []scoring.Progress) (dates []string) {
	for _, p := range lines {
		for _, s := range p.Sessions {
			if !slices.Contains(dates, s.Date) {
				dates = append(dates, s.Date)
			}
		}
	}
	slices.Sort(dates)
	return dates
}

// meanOn is the mean of a day and its standard deviation; NaN where there was no session.
func meanOn(p scoring.Progress, date string) (mean, sd float64) {
	i := slices.IndexFunc(p.Sessions, func(s scoring.SessionMean) bool { return s.Date == date })
	if i < 0 {
		return math.NaN(), math.NaN()
	}
	return p.Sessions[i].Mean, p.Sessions[i].SD
}

func legWords(loc locale.Locale, side kinematics.Side) string {
	if side == kinematics.Both {
		return loc.Say("mean of both")
	}
	return loc.Leg(side)
}
