// Package sheet is the athlete's own page of one trial.
package sheet

import (
	_ "embed"
	"html/template"
	"io"

	"steadfall/report"
)

//go:embed sheet.html
var sheetHTML string

type view struct {
	report.Head
	Page     Page
	What     string
	Headline string
	Well     string
	Next     string
	Cues     []cue
	Album    *report.Album
	Hold     string
	Trace    template.HTML
	Changes  []string
	Jumps    []string
}

// cue is what to do next, with a picture of what it means.
type cue struct {
	Words  string
	Figure template.HTML
}

// Write writes the athlete's page.
func Write(w io.Writer, s Page) error {
	say := s.Locale.Say
	s.Result, s.Progress, s.Jumps = s.Locale.Result(s.Result), s.Locale.Progress(s.Progress), s.Locale.Jumps(s.Jumps)
	title := say("Your landing")
	if s.Name != "" {
		title = say("%s, your landing", s.Name)
	}
	s.Tool = s.Result.Tool
	r := s.Result
	v := view{
		Head: s.Head(title, report.InventedOne), Page: s, What: s.Locale.Task(r.Task, r.Limb),
		Well: say(praise(r.Score)), Next: nextSaid(s), Hold: holdWords(s.Locale, r), Trace: holdTrace(s.Locale, r), Changes: changeWords(s), Jumps: jumpWords(s),
	}
	v.Class = "sheet"
	for _, f := range report.Worst(r.Score) {
		v.Cues = append(v.Cues, cue{say(f.Cue), cueFigure(s.Locale, f.ID)})
	}
	v.Headline = say(headline(r.Score, len(v.Cues)))
	if all := report.Albums(s.Locale, "", r.Views, s.Pictures); len(all) > 0 { // of one view: the page is short
		v.Album = &all[0]
	}
	return report.Render(w, s.Locale, sheetHTML, v)
}
