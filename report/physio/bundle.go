package physio

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/chart"
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
func bundles(loc locale.Locale, all []Trial) ([]chart.Chart, error) {
	var out []chart.Chart
	for _, view := range []struct {
		id, words string
		side      bool
	}{{"front", locale.Message("from the front"), false}, {"side", locale.Message("from the side"), true}} {
		for _, of := range report.Curves {
			strands := strandsOf(all, of, view.side)
			if len(strands) == 0 {
				continue
			}
			for _, normal := range []bool{false, true} {
				c, ok, err := bundle(loc, of, loc.Say(view.words), strands, normal)
				if err != nil {
					return nil, err
				}
				if ok {
					c.ID = fmt.Sprintf("bundle-%s-%s-%t", view.id, strings.ReplaceAll(of.Name, "_", "-"), normal)
					out = append(out, c)
				}
			}
		}
	}
	return out, nil
}

func strandsOf(all []Trial, of report.Curve, side bool) []strand {
	var out []strand
	for _, t := range all {
		for _, v := range t.Result.Views {
			if v.View.IsSide() != side {
				continue
			}
			s := t.Result.Series[string(v.View)]
			zero := report.ZeroTime(v)
			for _, name := range of.In(s) {
				leg := report.SideOf(name)
				if t.Limb != kinematics.Both && leg != "" && leg != string(t.Limb) {
					continue // the leg in the air
				}
				still := math.NaN()
				for _, e := range v.Events {
					if e.Name == kinematics.StillFrom {
						still = e.TimeS - zero
					}
				}
				out = append(out, strand{leg, func(x float64) float64 { return report.At(s["time_s"], s[name], zero+x) }, report.LastTime(s) - zero, still})
			}
		}
	}
	return out
}

// bundle draws the strands; ok is false where none can be.
func bundle(loc locale.Locale, of report.Curve, view string, all []strand, normal bool) (c chart.Chart, ok bool, err error) {
	x, where, how := overTime(loc, all)
	if normal {
		all = slices.DeleteFunc(slices.Clone(all), func(s strand) bool { return math.IsNaN(s.stillS) || s.stillS <= 0 })
		x, where, how = overTheWay(loc)
	}
	if len(all) == 0 {
		return c, false, nil
	}
	f := chart.Frame{KeyOfOne: true, Left: "52", Right: "16", Top: "34", Bottom: "44", X: x, Y: chart.Axis{Unit: locale.Unit(loc.UnitOf(of.Unit))}}
	var sides []string
	for _, s := range all {
		if !slices.Contains(sides, s.side) {
			sides = append(sides, s.side)
			f.Key = append(f.Key, meanWords(loc, s.side))
		}
	}
	p := chart.New(f)
	trials := 0
	for k, side := range sides {
		look := chart.Looks[side]
		leg := slices.DeleteFunc(slices.Clone(all), func(s strand) bool { return s.side != side })
		trials = max(trials, len(leg))
		for i, s := range leg {
			p.Curve(fmt.Sprintf("%s %d", side, i+1), chart.Stroke{Look: look, Width: 1, Opacity: faint}, drawn(len(x.Positions), func(k int) float64 { return s.atTime(where(s, k)) }))
		}
		p.Curve(f.Key[k], chart.Stroke{Look: look, Width: 2.8, Opacity: 1}, drawn(len(x.Positions), func(k int) float64 { return meanAt(leg, where, k) }))
	}
	c, err = p.Finish(chart.Chart{Short: true, Caption: fmt.Sprintf("%s, %s, %s; %s.", loc.Say(of.Title), view, how, loc.Count(trials, "trial"))})
	return c, err == nil, err
}

// places tells when a strand is at a position of an axis, seconds from contact.
type places func(s strand, k int) float64

// overTime is the axis of seconds from contact, until the longest strand ends.
func overTime(loc locale.Locale, all []strand) (x chart.Axis, where places, how string) {
	longest := 0.0
	for _, s := range all {
		longest = math.Max(longest, s.lastS)
	}
	return chart.TimeAxis(loc, longest, bundleStep), func(_ strand, k int) float64 { return chart.SecondsAt(k, bundleStep) }, loc.Say("contact at 0")
}

// overTheWay is the axis of the share of the way from contact to still.
func overTheWay(loc locale.Locale) (x chart.Axis, where places, how string) {
	x = chart.Axis{Name: loc.Say("% of the way from contact to still"), Every: bundleParts / 5}
	for k := range bundleParts + 1 {
		x.Positions = append(x.Positions, strconv.Itoa(k*100/bundleParts))
	}
	return x, func(s strand, k int) float64 { return s.stillS * float64(k) / bundleParts }, loc.Say("from contact to still")
}

func meanWords(loc locale.Locale, side string) string {
	if side == "" {
		return loc.Say("mean")
	}
	return loc.Say(side + " leg, mean")
}

// meanAt is the mean of the strands at a position where all are seen: where one begins or
// ends, the mean of fewer would jump.
func meanAt(all []strand, where places, k int) float64 {
	sum := 0.0
	for _, s := range all {
		sum += s.atTime(where(s, k))
	}
	return sum / float64(len(all))
}

func drawn(n int, value func(k int) float64) []float64 {
	out := make([]float64, n)
	for k := range out {
		out[k] = math.Round(value(k)*10) / 10
	}
	return out
}
