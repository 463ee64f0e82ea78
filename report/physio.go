package report

import (
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"time"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// PhysioPage is all trials of one athlete at one task on one day, with every number.
type PhysioPage struct {
	Frame    Frame
	Squad    string
	Invented bool
	Made     time.Time
	Tool     string
	Code     string
	Name     string // may be empty
	Date     string
	Task     kinematics.Task
	Trials   []PhysioTrial
	Progress []scoring.Progress // of the task, up to that day
	Others   []Link             // to other days and tasks
	Locale   locale.Locale
}

// PhysioTrial is one trial with who had a hand in it.
type PhysioTrial struct {
	Name     scoring.Sentence
	Link     string // to its own report; may be empty
	Limb     kinematics.Side
	Result   scoring.Result
	Pictures []Picture
	Signed   string
	Placed   []string // who placed points by hand
	Rated    []string // who judged items
	Poses    []Posture
	Before   []Posture // of the session before, in the same view; may be empty
}

type physioView struct {
	shell
	Page      PhysioPage
	What      string
	Headline  string
	Items     []itemRow
	Charts    []chart
	Measures  []progressRow
	Published []scoring.PublishedRange
	Minor     bool
	Trials    []physioTrial
}

// physioTrial is one trial as it is shown.
type physioTrial struct {
	PhysioTrial
	N        int
	Groups   []group
	Albums   []album
	Overlays []overlay
}

// itemRow is one item of the checklist over all trials.
type itemRow struct {
	Text   string
	Side   kinematics.Side
	Worth  int
	Marks  []scoring.Verdict // of each trial; empty where the trial has not the item
	Errors int
	Seen   int // trials in which it could be told, or was too close
}

// progressRow is a measure with both legs side by side, each over the sessions.
type progressRow struct {
	Words             string
	Unit              string
	View              kinematics.View
	First             bool // of its view
	Left, Right, Both *scoring.Progress
}

// stripsOnPage is for how many trials the pictures are shown; those of more are in their
// own reports, so that the page stays small.
const stripsOnPage = 4

// WritePhysio writes the page.
func WritePhysio(w io.Writer, p PhysioPage) error {
	title := p.Code
	if p.Name != "" {
		title += ", " + p.Name
	}
	s := p.Locale
	p.Progress, p.Trials = s.Progress(p.Progress), slices.Clone(p.Trials)
	for i := range p.Trials {
		p.Trials[i].Result = s.Result(p.Trials[i].Result)
	}
	what := s.Task(p.Task, kinematics.Both)
	v := physioView{
		shell: newShell(s, title+": "+what, p.Invented, p.Made, p.Tool, p.Frame).withCharts(),
		Page:  p, What: what, Items: itemRows(p.Trials), Measures: progressRows(p),
	}
	v.Headline = physioHeadline(s, v.Items, len(p.Trials))
	var err error
	if v.Charts, err = bundles(s, p.Trials); err != nil {
		return err
	}
	for i, t := range p.Trials {
		shown := physioTrial{PhysioTrial: t, N: i + 1, Overlays: overlaysOf(s, t)}
		if i < stripsOnPage {
			shown.Albums = albums(s, fmt.Sprintf("t%d-", i+1), t.Result.Views, stillsOf(t.Pictures))
		}
		shown.Groups = grouped(s, t.Result.Score, shown.Albums)
		v.Trials = append(v.Trials, shown)
		v.Minor = v.Minor || scoring.Minor(t.Result.AgeYears)
		for _, r := range t.Result.Published {
			if !slices.Contains(v.Published, r) {
				v.Published = append(v.Published, r)
			}
		}
	}
	return render(w, s, "physio.html", v)
}

// stillsOf leaves out what is made of many frames: it is in the report of each trial.
func stillsOf(all []Picture) []Picture {
	return slices.DeleteFunc(slices.Clone(all), func(p Picture) bool {
		return p.Moment == Strip || p.Moment == Path || p.Moment == Loop
	})
}

// physioHeadline says what came up in how many trials.
func physioHeadline(loc locale.Locale, items []itemRow, trials int) string {
	var worst []itemRow
	for _, r := range items {
		if r.Errors > 0 {
			worst = append(worst, r)
		}
	}
	if len(worst) == 0 {
		return loc.Say("No sure error in %s", loc.Count(trials, "trial"))
	}
	slices.SortStableFunc(worst, func(a, b itemRow) int { return b.Errors - a.Errors })
	var words []string
	for _, r := range worst[:min(len(worst), 2)] {
		of := loc.Say("%d of %d", r.Errors, trials)
		if r.Side != kinematics.Both {
			of = loc.Say(string(r.Side)) + ", " + of
		}
		words = append(words, loc.Say(r.Text)+" ("+of+")")
	}
	return strings.Join(words, "; ")
}

// itemRows lines up the findings of all trials, in the order of the checklist.
func itemRows(all []PhysioTrial) []itemRow {
	var out []itemRow
	for k, t := range all {
		for _, f := range t.Result.Score.Items {
			i := slices.IndexFunc(out, func(r itemRow) bool { return r.Text == f.Text && r.Side == f.Side })
			if i < 0 {
				i = len(out)
				out = append(out, itemRow{Text: f.Text, Side: f.Side, Worth: f.Worth, Marks: make([]scoring.Verdict, len(all))})
			}
			out[i].Marks[k] = f.Finding
			switch f.Finding {
			case scoring.Error:
				out[i].Errors++
				out[i].Seen++
			case scoring.Clear, scoring.TooClose:
				out[i].Seen++
			}
		}
	}
	return joinUnseen(out)
}

// joinUnseen takes out the rows of items of one leg that say of no leg in particular that
// it was not seen, and says so on the rows of the legs.
func joinUnseen(all []itemRow) []itemRow {
	var out []itemRow
	for _, r := range all {
		legs := 0
		if r.Side == kinematics.Both && !slices.ContainsFunc(r.Marks, func(v scoring.Verdict) bool { return v != scoring.NotSeen && v != "" }) {
			for i := range all {
				if all[i].Text != r.Text || all[i].Side == kinematics.Both {
					continue
				}
				legs++
				for k, v := range r.Marks {
					if all[i].Marks[k] == "" {
						all[i].Marks[k] = v
					}
				}
			}
		}
		if legs == 0 {
			out = append(out, r)
		}
	}
	return out
}

// progressRows are the measures of the day, both legs in one row.
func progressRows(p PhysioPage) []progressRow {
	var out []progressRow
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
		k := slices.IndexFunc(out, func(r progressRow) bool { return r.Words == words && r.View == m.View })
		if k < 0 {
			k = len(out)
			out = append(out, progressRow{Words: words, Unit: m.Unit, View: m.View})
		}
		switch side {
		case kinematics.Left:
			out[k].Left = m
		case kinematics.Right:
			out[k].Right = m
		default:
			out[k].Both = m
		}
	}
	slices.SortStableFunc(out, func(a, b progressRow) int { return strings.Compare(string(a.View), string(b.View)) })
	for i := range out {
		out[i].First = i == 0 || out[i].View != out[i-1].View
	}
	return out
}

// now is the mean of the newest session with its ± and the smallest change that is not
// noise, as text.
func now(loc locale.Locale, p *scoring.Progress) template.HTML {
	if p == nil {
		return ""
	}
	last := p.Sessions[len(p.Sessions)-1]
	detectable := loc.Say("SDC %s", loc.Rounded(scoring.DetectableChange(last.SD), last.SD))
	return template.HTML(template.HTMLEscapeString(loc.PlusMinus(last.Mean, last.SD)) + `<br><span class="quiet">` + template.HTMLEscapeString(detectable) + "</span>")
}

// earlier is how a measure went from session to session, a line a leg.
func earlier(loc locale.Locale, r progressRow) (lines []string) {
	for _, of := range []struct {
		who string
		p   *scoring.Progress
	}{{"left", r.Left}, {"right", r.Right}, {"body", r.Both}} {
		if words := went(loc, of.p); words != "" {
			lines = append(lines, loc.Say(of.who)+": "+words)
		}
	}
	return lines
}

// went is how a measure went over the last sessions; nothing where there is only one.
func went(loc locale.Locale, p *scoring.Progress) string {
	if p == nil || len(p.Sessions) < 2 {
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
