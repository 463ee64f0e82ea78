// Package landing is the page of one landing: what was found, the pictures, the curves and
// every number.
package landing

import (
	_ "embed"
	"io"

	"steadfall/report"
	"steadfall/report/chart"
	"steadfall/report/locale"
	"steadfall/scoring"
)

//go:embed landing.html
var landingHTML string

var banner = locale.Message("This is a demo. The athlete, the squad and the gym are invented; the clips are rendered.")

// Page is everything a report shows.
type Page struct {
	report.About
	Who      string           // whose landing it is; may be empty
	Subtitle scoring.Sentence // which landing; from the caller
	Signed   string           // who stands by it and since when; empty for nobody
	Result   scoring.Result
	Pictures []report.Picture
}

// Write writes the page.
func Write(w io.Writer, p Page) error {
	v, err := newView(p)
	if err != nil {
		return err
	}
	return report.Render(w, p.Locale, landingHTML, v)
}

// view is the page in the words and order that the template shows.
type view struct {
	report.Head
	Page     Page
	Charts   []chart.Chart
	Headline string
	Range    string
	Cues     []string
	Groups   []report.Group
	Legs     []measureRow
	Albums   []report.Album
	Jump     []string // what is said of the jump, a line each
}

func newView(p Page) (view, error) {
	s := p.Locale
	title := s.Say("Landing report")
	if p.Who != "" {
		title = s.Say("Landing report: %s", p.Who)
	}
	p.Result, p.Tool = s.Result(p.Result), p.Result.Tool
	v := view{Head: p.Head(title, banner).WithCharts(), Page: p}
	var err error
	if v.Charts, err = charts(s, p.Result); err != nil {
		return v, err
	}
	v.Albums = report.Albums(s, "", p.Result.Views, p.Pictures)
	v.Headline, v.Range = headline(s, p.Result.Score)
	v.Groups = report.Grouped(s, p.Result.Score, v.Albums)
	v.Cues = cues(s, p.Result.Score)
	v.Legs = measureRows(s, p.Result)
	v.Jump = jumpLines(s, p.Result)
	return v, nil
}

// headline is the answer in one line, and how sure the total is in another.
func headline(loc locale.Locale, of scoring.Score) (line, total string) {
	n := map[scoring.Verdict]int{}
	for _, f := range of.Items {
		n[f.Finding]++
	}
	seen := n[scoring.Clear] + n[scoring.Error] + n[scoring.TooClose]
	if seen == 0 {
		return loc.Say("Nothing could be scored"), loc.Say("See below what was not seen and why.")
	}
	errors := loc.Say("No sure error")
	if k := n[scoring.Error]; k > 0 {
		errors = loc.Count(k, "sure error")
	}
	line = loc.Say("%s in %s seen", errors, loc.Count(seen, "item"))
	if k := n[scoring.TooClose]; k > 0 {
		line = loc.Say("%s, %d too close to call", line, k)
	}
	return line, loc.Say("Expected total %s of %d points; 9 times in 10 between %d and %d.", loc.Fixed(1, of.Expected), of.Most, of.Low, of.High)
}

// cues are what to tell the athlete.
func cues(loc locale.Locale, of scoring.Score) []string {
	var out []string
	for _, f := range report.Worst(of) {
		out = append(out, loc.Say(f.Cue))
	}
	return out
}
