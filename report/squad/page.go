package squad

import (
	"steadfall/report"
	"steadfall/scoring"
)

// Page is the whole squad on one page.
type Page struct {
	report.About
	Ladder  scoring.Ladder
	Newest  string // date of the newest session
	Wall    string // where the page for the gym wall is; may be empty
	Rows    []Row
	Spreads []Spread // of the newest session
}

// Row is one athlete.
type Row struct {
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
func (r Row) Group() string {
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
