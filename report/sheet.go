package report

import (
	"cmp"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// Sheet is the athlete's own page of one trial: what they did, what went well, what to do
// next. It holds no total and no chance of anything.
type Sheet struct {
	Frame    Frame
	Name     string // how the athlete is addressed; may be empty
	Date     string
	Made     time.Time
	Invented bool
	Result   scoring.Result
	Pictures []Picture
	Progress []scoring.Progress // of the athlete; may be empty
	Jumps    []scoring.JumpSummary
	Next     string // what the ladder says, a sentence of the messages; may be empty
	Step     string // the step that Next names; may be empty
	Locale   locale.Locale
	Links    []Link // to more
}

// Link leads to another page.
type Link struct {
	Date  string // said before the words; may be empty
	Words string
	To    string
}

type sheetView struct {
	shell
	Page     Sheet
	What     string
	Headline string
	Well     string
	Next     string
	Cues     []sheetCue
	Album    *album
	Hold     string
	Trace    template.HTML
	Changes  []string
	Jumps    []string
}

// sheetCue is what to do next, with a picture of what it means.
type sheetCue struct {
	Words  string
	Figure template.HTML
}

// WriteSheet writes the athlete's page.
func WriteSheet(w io.Writer, s Sheet) error {
	say := s.Locale.Say
	s.Result, s.Progress, s.Jumps = s.Locale.Result(s.Result), s.Locale.Progress(s.Progress), s.Locale.Jumps(s.Jumps)
	title := say("Your landing")
	if s.Name != "" {
		title = say("%s, your landing", s.Name)
	}
	r := s.Result
	v := sheetView{
		shell: newShell(s.Locale, title, s.Invented, s.Made, r.Tool, s.Frame), Page: s, What: s.Locale.Task(r.Task, r.Limb),
		Well: say(praise(r.Score)), Next: nextSaid(s), Hold: holdWords(s.Locale, r), Trace: holdTrace(s.Locale, r), Changes: changeWords(s), Jumps: jumpWords(s),
	}
	for _, f := range worst(r.Score) {
		v.Cues = append(v.Cues, sheetCue{say(f.Cue), cueFigure(s.Locale, f.ID)})
	}
	v.Headline = say(sheetHeadline(r.Score, len(v.Cues)))
	if all := albums(s.Locale, "", r.Views, s.Pictures); len(all) > 0 { // of one view: the page is short
		v.Album = &all[0]
	}
	return render(w, s.Locale, "sheet.html", v)
}

func nextSaid(s Sheet) string {
	if s.Step != "" {
		return s.Locale.Say(s.Next, s.Locale.Say(s.Step))
	}
	return s.Locale.Say(s.Next)
}

func sheetHeadline(s scoring.Score, cues int) string {
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
		if f.Probability != nil && f.Overruled == nil {
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

// The trace shows the hips' way to the side from contact on, so many seconds and so many
// centimetres to each side.
const (
	traceS    = 4.0
	traceCM   = 10.0
	traceInch = 4.0 // where inches are asked for
)

// holdTrace draws how steady the hold was; nothing where the sway was not seen.
func holdTrace(loc locale.Locale, r scoring.Result) template.HTML {
	reach := traceCM
	if loc.Imperial {
		reach = traceInch
	}
	for _, v := range r.Views {
		s := r.Series[string(v.View)]
		times, across := s["time_s"], s["hip_across_cm"]
		if len(across) == 0 || len(across) != len(times) {
			continue
		}
		zero := zeroTime(v)
		x := func(t float64) float64 { return 40 + 310*(t-zero)/traceS }
		y := func(v float64) float64 { return 60 - 52*v/reach }
		var b strings.Builder
		fmt.Fprintf(&b, `<svg class="trace" viewBox="0 0 360 132" role="img" aria-label="%s">`, template.HTMLEscapeString(loc.Say("How far the hips moved to the side after landing")))
		for _, e := range v.Events {
			if e.Name == kinematics.StillFrom {
				end := zero + traceS
				if i := slices.IndexFunc(v.Events, func(o kinematics.Event) bool { return o.Name == kinematics.HoldEnd }); i >= 0 {
					end = math.Min(end, v.Events[i].TimeS)
				}
				fmt.Fprintf(&b, `<rect x="%.1f" y="8" width="%.1f" height="104" fill="#e3f1ec"/><text x="%.1f" y="20" font-size="11" fill="#00694d">%s</text>`, x(e.TimeS), math.Max(x(end)-x(e.TimeS), 0), x(e.TimeS)+4, template.HTMLEscapeString(loc.Say("held")))
			}
		}
		edge := fmt.Sprintf("%g %s", reach, loc.CM())
		fmt.Fprintf(&b, `<path d="M40 8v104M40 60h310" stroke="#d5dae0" fill="none"/><g font-size="11" fill="#57606a"><text x="2" y="16">%[1]s</text><text x="12" y="64">0</text><text x="2" y="114">%[1]s</text>`, edge)
		for k := range int(traceS) + 1 {
			fmt.Fprintf(&b, `<text x="%.0f" y="128" text-anchor="middle">%d s</text>`, x(zero+float64(k)), k)
		}
		// What goes further than the drawing reaches leaves it.
		b.WriteString(`</g><clipPath id="reach"><path d="M40 8h310v104H40Z"/></clipPath><path clip-path="url(#reach)" fill="none" stroke="#1b1f23" stroke-width="2" d="`)
		pen := "M"
		for i, t := range times {
			if t == nil || across[i] == nil || *t < zero || *t > zero+traceS {
				pen = "M"
				continue
			}
			fmt.Fprintf(&b, "%s%.1f %.1f", pen, x(*t), y(*across[i]))
			pen = "L"
		}
		b.WriteString(`"/></svg>`)
		return template.HTML(b.String())
	}
	return ""
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
func changeWords(s Sheet) []string {
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
func jumpWords(s Sheet) []string {
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

// worst are the errors an athlete is told of: at most two, the surest first, each cue once.
func worst(s scoring.Score) []scoring.Finding {
	bad := slices.DeleteFunc(slices.Clone(s.Items), func(f scoring.Finding) bool { return f.Finding != scoring.Error || f.Cue == "" })
	// A person's word is surer than any number.
	chance := func(f scoring.Finding) float64 {
		if f.Overruled != nil || f.Probability == nil {
			return 1
		}
		return *f.Probability
	}
	slices.SortStableFunc(bad, func(a, b scoring.Finding) int {
		return cmp.Or(cmp.Compare(chance(b), chance(a)), cmp.Compare(b.Worth, a.Worth))
	})
	var out []scoring.Finding
	for _, f := range bad {
		if len(out) < 2 && !slices.ContainsFunc(out, func(o scoring.Finding) bool { return o.Cue == f.Cue }) {
			out = append(out, f)
		}
	}
	return out
}
