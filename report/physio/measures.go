package physio

import (
	"slices"
	"strings"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// measureRow is a measure with both legs side by side.
type measureRow struct {
	Words             string
	Unit              string
	View              kinematics.View
	First             bool // of its view
	Left, Right, Both *dayMean
	Earlier           []string // how it went over the sessions, a line a leg
	legs              map[kinematics.Side]*scoring.Progress
}

// dayMean is the mean of the day with its ±, and the smallest change that is not noise.
type dayMean struct{ Mean, SDC string }

// measureRows are the measures of the day, both legs in one row.
func measureRows(p Page) []measureRow {
	var out []measureRow
	for i := range p.Progress {
		m := &p.Progress[i]
		if n := len(m.Sessions); m.Task != p.Task || n == 0 || m.Sessions[n-1].Date != p.Date {
			continue
		}
		words := p.Locale.MeasureWords(m.Name)
		side := m.Side
		if m.Limb != kinematics.Both { // landings on one leg: the row holds either
			if side == kinematics.Both {
				side = m.Limb
			} else if side != m.Limb {
				continue
			}
		}
		k := slices.IndexFunc(out, func(r measureRow) bool { return r.Words == words && r.View == m.View })
		if k < 0 {
			k = len(out)
			out = append(out, measureRow{Words: words, Unit: m.Unit, View: m.View, legs: map[kinematics.Side]*scoring.Progress{}})
		}
		out[k].legs[side] = m
	}
	for i := range out {
		out[i].say(p.Locale)
	}
	slices.SortStableFunc(out, func(a, b measureRow) int { return strings.Compare(string(a.View), string(b.View)) })
	for i := range out {
		out[i].First = i == 0 || out[i].View != out[i-1].View
	}
	return out
}

// say puts what is known of each leg and of the body into words.
func (r *measureRow) say(loc locale.Locale) {
	for _, of := range []struct {
		side kinematics.Side
		who  string
		to   **dayMean
	}{{kinematics.Left, "left", &r.Left}, {kinematics.Right, "right", &r.Right}, {kinematics.Both, "body", &r.Both}} {
		p := r.legs[of.side]
		if p == nil {
			continue
		}
		last := p.Sessions[len(p.Sessions)-1]
		*of.to = &dayMean{loc.PlusMinus(last.Mean, last.SD), loc.Say("SDC %s", loc.Rounded(scoring.DetectableChange(last.SD), last.SD))}
		if words := went(loc, p); words != "" {
			r.Earlier = append(r.Earlier, loc.Say(of.who)+": "+words)
		}
	}
}

// went is how a measure went over the last sessions; nothing where there is only one.
func went(loc locale.Locale, p *scoring.Progress) string {
	if len(p.Sessions) < 2 {
		return ""
	}
	var words []string
	for _, of := range p.Sessions[max(len(p.Sessions)-4, 0) : len(p.Sessions)-1] {
		words = append(words, loc.ShortDay(of.Date)+": "+loc.Rounded(of.Mean, of.SD))
	}
	text := strings.Join(words, ", ")
	if c := p.SinceBefore; c != nil {
		text += "; " + loc.Say("change %s, %s", loc.Signed(c), loc.Say(c.Verdict.Words()))
	}
	return text
}
