package sheet

import (
	"math"
	"slices"
	"strconv"

	"steadfall/report/locale"
	"steadfall/scoring"
)

func nextSaid(s Page) string {
	if s.Step != "" {
		return s.Locale.Say(s.Next, s.Locale.Say(s.Step))
	}
	return s.Locale.Say(s.Next)
}

func headline(s scoring.Score, cues int) string {
	seen := slices.ContainsFunc(s.Items, func(f scoring.Finding) bool {
		return f.Finding == scoring.Clear || f.Finding == scoring.Error || f.Finding == scoring.TooClose
	})
	switch {
	case !seen:
		return locale.Message("We could not see enough. Film it again.")
	case cues == 0:
		return locale.Message("No mistake was seen for sure.")
	case cues == 1:
		return locale.Message("One thing to work on.")
	}
	return locale.Message("Two things to work on.")
}

// praise is the one thing that went well: the finding that is clear beyond the most doubt.
func praise(s scoring.Score) string {
	best, chance := "", math.Inf(1)
	for _, f := range s.Items {
		if f.Finding != scoring.Clear || f.Well == "" {
			continue
		}
		// Both legs must show it: one that errs or cannot be told takes the praise away.
		if slices.ContainsFunc(s.Items, func(o scoring.Finding) bool { return o.ID == f.ID && o.Finding != scoring.Clear }) {
			continue
		}
		p := 0.0
		if f.Probability != nil && f.Override == nil {
			p = *f.Probability
		}
		if p < chance-1e-9 {
			best, chance = f.Well, p
		}
	}
	return best
}

// holdWords say how soon the athlete was still and for how long.
func holdWords(loc locale.Locale, r scoring.Result) string {
	still, ok := r.Surest("time_to_still")
	if !ok {
		return ""
	}
	after := loc.Amount(still.Value, still.SD, "s")
	held, ok := r.Surest("hold_time")
	switch {
	case !ok:
		return loc.Say("You were still after %s.", after)
	case held.AtLeast:
		least, _ := loc.Roughly(held.Value, held.SD)
		return loc.Say("You were still after %s and held it for at least %s. The clip ends there.", after, least+locale.Unit("s"))
	}
	return loc.Say("You were still after %s and held it for %s.", after, loc.Amount(held.Value, held.SD, "s"))
}

// changesShown are the measures whose change since the last session an athlete is told, in
// their order, and what each is called to them.
var changesShown = []struct{ name, words string }{
	{"landing_depth", locale.Message("How deep you sink")},
	{"hold_time", locale.Message("How long you hold")},
	{"time_to_still", locale.Message("How soon you are still")},
	{"knee_flexion_peak", locale.Message("How far your knee bends")},
	{"jump_height", locale.Message("How high you jump")},
}

// changeWords say what changed since the session before, and whether it is more than
// chance.
func changeWords(s Page) []string {
	var out []string
	for _, c := range changesShown {
		for _, p := range s.Progress {
			n := len(p.Sessions)
			if p.Task != s.Result.Task || p.Limb != s.Result.Limb || p.Name != c.name || p.SinceBefore == nil || n < 2 || p.Sessions[n-1].Date != s.Date {
				continue
			}
			now, then := p.Sessions[n-1], p.Sessions[n-2]
			words := map[scoring.ChangeVerdict]string{
				scoring.RealChange: locale.Message("That is a real change."), scoring.WithinNoise: locale.Message("That can be chance."), scoring.TooFew: locale.Message("Film two trials a day to know if that is real."),
			}[p.SinceBefore.Verdict]
			say, amount := s.Locale.Say, s.Locale.Amount
			out = append(out, say("%s: %s, last time %s. %s", say(c.words), amount(now.Mean, now.SD, p.Unit), amount(then.Mean, then.SD, p.Unit), say(words)))
			break
		}
		if len(out) == 3 {
			break
		}
	}
	return out
}

// jumpWords are how high the athlete jumped and their best of the day.
func jumpWords(s Page) []string {
	var out []string
	if m, ok := s.Result.Surest("jump_height"); ok {
		out = append(out, s.Locale.Say("You jumped %s high.", s.Locale.Amount(m.Value, m.SD, m.Unit)))
	}
	for _, j := range s.Jumps {
		if j.Task == s.Result.Task && j.Trials > 1 {
			out = append(out, s.Locale.Say("Your best of %s jumps: %s.", strconv.Itoa(j.Trials), s.Locale.Amount(j.BestCM, j.BestSD, s.Locale.CM())))
		}
	}
	return out
}
