// Package physio is the page of all trials of one athlete at one task on one day, with every
// number.
package physio

import (
	_ "embed"
	"fmt"
	"io"
	"slices"
	"strings"

	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/chart"
	"steadfall/report/locale"
	"steadfall/scoring"
)

//go:embed physio.html
var physioHTML string

type view struct {
	report.Head
	Page      Page
	What      string
	Headline  string
	Items     []itemRow
	Charts    []chart.Chart
	Measures  []measureRow
	Published []scoring.PublishedRange
	Minor     bool
	Trials    []shownTrial
}

// shownTrial is one trial as it is shown.
type shownTrial struct {
	Trial
	N        int
	Groups   []report.Group
	Albums   []report.Album
	Overlays []overlay
}

// stripsOnPage is for how many trials the pictures are shown; those of more are in their
// own reports, so that the page stays small.
const stripsOnPage = 4

// Write writes the page.
func Write(w io.Writer, p Page) error {
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
	v := view{
		Head: p.Head(title+": "+what, report.InventedOne).WithCharts(),
		Page: p, What: what, Items: itemRows(p.Trials), Measures: measureRows(p),
	}
	v.Heading += " · " + p.Squad
	v.Headline = headline(s, v.Items, len(p.Trials))
	var err error
	if v.Charts, err = bundles(s, p.Trials); err != nil {
		return err
	}
	for i, t := range p.Trials {
		shown := shownTrial{Trial: t, N: i + 1, Overlays: overlaysOf(s, t)}
		if i < stripsOnPage {
			shown.Albums = report.Albums(s, fmt.Sprintf("t%d-", i+1), t.Result.Views, stillsOf(t.Pictures))
		}
		shown.Groups = report.Grouped(s, t.Result.Score, shown.Albums)
		v.Trials = append(v.Trials, shown)
		v.Minor = v.Minor || scoring.Minor(t.Result.AgeYears)
		for _, r := range t.Result.Published {
			if !slices.Contains(v.Published, r) {
				v.Published = append(v.Published, r)
			}
		}
	}
	return report.Render(w, s, physioHTML, v)
}

// stillsOf leaves out what is made of many frames: it is in the report of each trial.
func stillsOf(all []report.Picture) []report.Picture {
	return slices.DeleteFunc(slices.Clone(all), func(p report.Picture) bool {
		return p.Moment == report.Strip || p.Moment == report.Path || p.Moment == report.Loop
	})
}

// headline says what came up in how many trials.
func headline(loc locale.Locale, items []itemRow, trials int) string {
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
