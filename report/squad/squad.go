// Package squad is the page of a whole squad, and that for its gym wall.
package squad

import (
	_ "embed"
	"html/template"
	"io"
	"net/url"
	"slices"
	"strings"

	"steadfall/report"
	"steadfall/report/locale"
)

//go:embed squad.html
var squadHTML string

//go:embed squad.js
var script string

// groups are the groups in the order in which a coach needs them.
var groups = []struct{ id, word, mark string }{
	{"physio", locale.Message("To the physio"), "error"},
	{"ready", locale.Message("Ready for the next step"), "clear"},
	{"cannot_say", locale.Message("Cannot say yet"), "too_close"},
	{"working", locale.Message("Keep working on the step"), "rater"},
	{"missing", locale.Message("Missing from the newest session"), "not_seen"},
}

type group struct {
	ID, Word, Mark string
	Rows           []Row
}

type view struct {
	report.Head
	Page     Page
	Headline string
	Groups   []group
	Errors   []commonError
	Spreads  []spread
	Table    template.URL // the rows as a CSV file
	Script   template.JS
}

// commonError is a sure error and in how many athletes it was the commonest.
type commonError struct {
	Text     string
	Athletes int
}

// Write writes the squad's page: who is ready, who repeats, who goes to the physio and
// why, who is missing.
func Write(w io.Writer, p Page) error {
	s := p.Locale
	v := view{Head: p.Head(s.Say("Squad: %s", p.Squad), report.InventedSquad), Page: p, Script: template.JS(script)}
	var parts []string
	for _, g := range groups {
		in := group{g.id, s.Say(g.word), g.mark, nil}
		for _, r := range p.Rows {
			if r.Group() == g.id {
				in.Rows = append(in.Rows, r)
			}
		}
		if len(in.Rows) > 0 {
			v.Groups = append(v.Groups, in)
			parts = append(parts, s.Say(groupCounts[g.id], len(in.Rows)))
		}
	}
	v.Headline = strings.Join(parts, ", ")
	if v.Headline == "" {
		v.Headline = s.Say("Nobody is in the squad yet")
	}
	v.Errors = commonErrors(p.Rows)
	for _, all := range p.Spreads {
		of, ok, err := spreadOf(s, all)
		if err != nil {
			return err
		}
		if ok {
			v.Spreads = append(v.Spreads, of)
		}
	}
	if len(v.Spreads) > 0 { // else the page stays small
		v.Head = v.WithCharts()
	}
	var b strings.Builder
	if err := WriteTable(&b, p.Rows); err != nil {
		return err
	}
	v.Table = template.URL("data:text/csv;charset=utf-8," + url.PathEscape(b.String()))
	return report.Render(w, s, squadHTML, v)
}

// groupCounts are how many are in a group.
var groupCounts = map[string]string{
	"physio": locale.Message("%d to the physio"), "ready": locale.Message("%d ready"), "cannot_say": locale.Message("%d cannot say"), "working": locale.Message("%d working on it"), "missing": locale.Message("%d missing"),
}

// commonErrors counts the athletes by their commonest error, most first.
func commonErrors(rows []Row) []commonError {
	at := map[string]int{}
	var out []commonError
	for _, r := range rows {
		if r.Error == "" {
			continue
		}
		if _, ok := at[r.Error]; !ok {
			at[r.Error] = len(out)
			out = append(out, commonError{Text: r.Error})
		}
		out[at[r.Error]].Athletes++
	}
	slices.SortStableFunc(out, func(a, b commonError) int { return b.Athletes - a.Athletes })
	return out[:min(len(out), 3)]
}
