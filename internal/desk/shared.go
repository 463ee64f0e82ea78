package desk

import (
	"cmp"
	"html/template"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"steadfall/internal/archive"
	"steadfall/internal/present"
	"steadfall/report"
	"steadfall/report/athlete"
	"steadfall/report/landing"
	"steadfall/report/sheet"
)

// sheet is what the athlete gets of a trial, for staff to see.
func (d *Desk) sheet(r request) error {
	t, err := d.trialOf(r)
	if err != nil {
		return err
	}
	s, err := d.sheetOf(r, t)
	if err != nil {
		return err
	}
	s.Links = []report.Link{{Words: "Back to the result", To: "/trial/" + r.PathValue("id")}}
	if s.Frame, err = d.frame(r, "", nil); err != nil {
		return err
	}
	return deliver(r, func(w io.Writer) error { return sheet.Write(w, s) })
}

// sheetOf gathers the athlete's page of a trial, in the language that the browser asks for.
func (d *Desk) sheetOf(r request, t archive.Trial) (sheet.Page, error) {
	s, err := present.Sheet(r.Context(), d.Archive, d.Ladder, t.ID, d.Tool)
	s.Locale = d.asked(r)
	return s, err
}

// shared is what a link opens: the athlete's page of their newest trial, or where there is
// none of all.
func (d *Desk) shared(r request) error {
	share, err := d.open(r)
	if err != nil {
		return err
	}
	all, err := d.Archive.Trials(r.Context(), share.Athlete, 0)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		return d.sharedAll(r)
	}
	return d.sharedSheetOf(r, share, slices.MaxFunc(all, func(a, b archive.Trial) int {
		return cmp.Or(cmp.Compare(a.Session.Date, b.Session.Date), cmp.Compare(a.ID, b.ID))
	}))
}

// sharedTrialOf is the trial of the path, where it is the athlete's of the link.
func (d *Desk) sharedTrialOf(r request) (archive.Share, archive.Trial, error) {
	share, err := d.open(r)
	if err != nil {
		return share, archive.Trial{}, err
	}
	t, err := d.trialOf(r)
	if err == nil && t.Athlete != share.Athlete {
		err = &refusal{http.StatusNotFound, "There is no such trial."}
	}
	return share, t, err
}

func (d *Desk) sharedSheet(r request) error {
	share, t, err := d.sharedTrialOf(r)
	if err != nil {
		return err
	}
	return d.sharedSheetOf(r, share, t)
}

func (d *Desk) sharedSheetOf(r request, share archive.Share, t archive.Trial) error {
	s, err := d.sheetOf(r, t)
	if err != nil {
		return err
	}
	s.Links = []report.Link{{Words: "All my sessions", To: sharedPath(r) + "/all"}, {Words: "All the numbers", To: sharedTrialPath(r, t.ID) + "/numbers"}}
	if err := d.noteLink(r, share); err != nil {
		return err
	}
	return deliver(r, func(w io.Writer) error { return sheet.Write(w, s) })
}

// noteLink notes that somebody looked through a link.
func (d *Desk) noteLink(r request, s archive.Share) error {
	return d.Archive.Audit(r.Context(), "link "+strconv.FormatInt(s.ID, 10), "looked at the page", s.Athlete)
}

func sharedPath(r request) string { return "/shared/" + url.PathEscape(r.PathValue("token")) }

func sharedTrialPath(r request, id int64) string {
	return sharedPath(r) + "/trial/" + strconv.FormatInt(id, 10)
}

// sharedAll is everything of the athlete over the sessions, behind a link.
func (d *Desk) sharedAll(r request) error {
	share, err := d.open(r)
	if err != nil {
		return err
	}
	p, err := d.athletePage(r, share.Athlete, func(id int64) string { return sharedTrialPath(r, id) })
	if err != nil {
		return err
	}
	p.Locale = d.asked(r)
	p.Decided = nil // what staff wrote to one another stays with them
	if err := d.noteLink(r, share); err != nil {
		return err
	}
	return deliver(r, func(w io.Writer) error { return athlete.Write(w, p) })
}

// sharedTrial is the whole report of a trial, behind a link.
func (d *Desk) sharedTrial(r request) error {
	_, t, err := d.sharedTrialOf(r)
	if err != nil {
		return err
	}
	p, err := present.Trial(r.Context(), d.Archive, t.ID)
	if err != nil {
		return err
	}
	p.Locale = d.asked(r)
	p.Frame.Top = template.HTML(`<nav class="bar"><a href="` + template.HTMLEscapeString(sharedTrialPath(r, t.ID)) + `">` + template.HTMLEscapeString(p.Locale.Say("Back")) + `</a></nav>`)
	return deliver(r, func(w io.Writer) error { return landing.Write(w, p) })
}

// open opens a link.
func (d *Desk) open(r request) (archive.Share, error) {
	s, err := d.Archive.Shared(r.Context(), r.PathValue("token"))
	if err != nil {
		return s, &refusal{http.StatusNotFound, "This link opens nothing. It may have expired or been withdrawn; ask your coach for a new one."}
	}
	return s, nil
}
