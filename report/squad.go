package report

import (
	"encoding/csv"
	"html/template"
	"io"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"steadfall/report/locale"
	"steadfall/scoring"
)

// SquadPage is the whole squad on one page.
type SquadPage struct {
	Frame    Frame
	Squad    string
	Invented bool
	Made     time.Time
	Tool     string
	Ladder   scoring.Ladder
	Newest   string // date of the newest session
	Wall     string // where the page for the gym wall is; may be empty
	Rows     []SquadRow
	Spreads  []Spread // of the newest session
	Locale   locale.Locale
}

// SquadRow is one athlete.
type SquadRow struct {
	Code     string
	Name     string
	Link     string // of the athlete's own page; may be empty
	Standing scoring.Standing
	LastSeen string // date
	Missing  bool   // from the newest session
	Absent   string // why, where it was said
	Trials   int
	Error    string // the commonest sure error of the last session, in words
	ErrorIn  int    // trials that showed it …
	ErrorOf  int    // … of those that could
	Cue      string
}

// Group is where a row is listed; the physio comes first, whatever the step.
func (r SquadRow) Group() string {
	switch {
	case len(r.Standing.Physio) > 0:
		return "physio"
	case r.Missing:
		return "missing"
	case r.Standing.Verdict == scoring.Ready:
		return "ready"
	case r.Standing.Verdict == scoring.CannotSay:
		return "cannot_say"
	}
	return "working"
}

// squadGroups are the groups in the order in which a coach needs them.
var squadGroups = []struct{ id, word, mark string }{
	{"physio", locale.Message("To the physio"), "error"},
	{"ready", locale.Message("Ready for the next step"), "clear"},
	{"cannot_say", locale.Message("Cannot say yet"), "too_close"},
	{"working", locale.Message("Keep working on the step"), "rater"},
	{"missing", locale.Message("Missing from the newest session"), "not_seen"},
}

type squadGroup struct {
	ID, Word, Mark string
	Rows           []SquadRow
}

type squadView struct {
	shell
	Page     SquadPage
	Headline string
	Groups   []squadGroup
	Errors   []squadError
	Spreads  []spread
	Table    template.URL // the rows as a CSV file
	Script   template.JS
}

// squadError is a sure error and in how many athletes it was the commonest.
type squadError struct {
	Text     string
	Athletes int
}

// WriteSquad writes the squad's page: who is ready, who repeats, who goes to the physio and
// why, who is missing.
func WriteSquad(w io.Writer, p SquadPage) error {
	s := p.Locale
	v := squadView{shell: newShell(s, s.Say("Squad: %s", p.Squad), p.Invented, p.Made, p.Tool, p.Frame), Page: p, Script: template.JS(asset("squad.js"))}
	var parts []string
	for _, g := range squadGroups {
		in := squadGroup{g.id, s.Say(g.word), g.mark, nil}
		for _, r := range p.Rows {
			if r.Group() == g.id {
				in.Rows = append(in.Rows, r)
			}
		}
		if len(in.Rows) > 0 {
			v.Groups = append(v.Groups, in)
			parts = append(parts, s.Say(squadWords[g.id], len(in.Rows)))
		}
	}
	v.Headline = strings.Join(parts, ", ")
	if v.Headline == "" {
		v.Headline = s.Say("Nobody is in the squad yet")
	}
	v.Errors = squadErrors(p.Rows)
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
		v.shell = v.withCharts()
	}
	var b strings.Builder
	if err := WriteSquadTable(&b, p.Rows); err != nil {
		return err
	}
	v.Table = template.URL("data:text/csv;charset=utf-8," + url.PathEscape(b.String()))
	return render(w, s, "squad.html", v)
}

// squadWords are how many are in a group.
var squadWords = map[string]string{
	"physio": locale.Message("%d to the physio"), "ready": locale.Message("%d ready"), "cannot_say": locale.Message("%d cannot say"), "working": locale.Message("%d working on it"), "missing": locale.Message("%d missing"),
}

// squadErrors counts the athletes by their commonest error, most first.
func squadErrors(rows []SquadRow) []squadError {
	at := map[string]int{}
	var out []squadError
	for _, r := range rows {
		if r.Error == "" {
			continue
		}
		if _, ok := at[r.Error]; !ok {
			at[r.Error] = len(out)
			out = append(out, squadError{Text: r.Error})
		}
		out[at[r.Error]].Athletes++
	}
	slices.SortStableFunc(out, func(a, b squadError) int { return b.Athletes - a.Athletes })
	return out[:min(len(out), 3)]
}

// WriteSquadTable writes the rows as CSV.
func WriteSquadTable(w io.Writer, rows []SquadRow) error {
	c := csv.NewWriter(w)
	all := [][]string{{"athlete", "name", "group", "step", "verdict", "because", "physio", "last_seen", "missing", "absent", "trials", "commonest_error", "error_trials", "of_trials"}}
	for _, r := range rows {
		all = append(all, []string{
			r.Code, cell(r.Name), r.Group(), r.Standing.Step, string(r.Standing.Verdict), r.Standing.Because.String(), r.Standing.Physio.String(),
			r.LastSeen, strconv.FormatBool(r.Missing), cell(r.Absent), strconv.Itoa(r.Trials), r.Error, strconv.Itoa(r.ErrorIn), strconv.Itoa(r.ErrorOf),
		})
	}
	return c.WriteAll(all)
}
