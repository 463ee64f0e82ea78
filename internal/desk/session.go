package desk

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"steadfall/internal/archive"
	"steadfall/kinematics"
)

// sessionPage is a session's day: what to film, whom, and what became of it.
type sessionPage struct {
	Session  archive.Session
	Tasks    []kinematics.Task
	Athletes []athleteToFilm
	Queue    queuePart
}

// athleteToFilm is one athlete of the list that the coach taps.
type athleteToFilm struct {
	archive.Athlete
	Path  string
	Clips int // so far in this session
}

// queuePart is what became of the clips of a session.
type queuePart struct {
	Takes  []takeRow
	Trials []archive.Trial
}

type takeRow struct {
	archive.Take
	Path    string // of the athlete
	Words   string // the state
	Percent int    // of the points placed
	Waits   bool   // for the other view
	Again   bool   // may be tried again, or taken away
}

var takeWords = map[archive.TakeState]string{
	archive.Uploading: "uploading", archive.Uploaded: "uploaded, waits its turn", archive.Checking: "checking the clip",
	archive.Placing: "placing the points", archive.ScoredOK: "scored", archive.NeedsLook: "scored, needs a look", archive.Refused: "not scored",
}

func (d *Desk) queueOf(r request, session int64) (queuePart, error) {
	takes, err := d.Archive.Takes(r.Context(), session)
	if err != nil {
		return queuePart{}, err
	}
	var out queuePart
	for _, t := range takes {
		row := takeRow{Take: t, Path: athletePath(t.Athlete), Words: takeWords[t.State]}
		whole := slices.ContainsFunc(t.Files, func(f archive.TakeFile) bool { return f.Whole })
		switch {
		case t.State == archive.Uploading && whole && t.Wants == "both":
			row.Waits, row.Words = true, "waits for the view from the "+missingView(t)
		case t.State == archive.Uploading, t.State == archive.Refused:
			row.Again = true
		case t.State == archive.Placing:
			row.Percent = d.shareOf(t.ID)
		case (t.State == archive.ScoredOK || t.State == archive.NeedsLook) && len(t.Trials) == 0:
			row.Words = "was deleted"
		}
		out.Takes = append(out.Takes, row)
	}
	out.Trials, err = d.Archive.Trials(r.Context(), "", session)
	return out, err
}

// missingView is the view that a take still waits for.
func missingView(t archive.Take) string {
	for _, f := range t.Files {
		if f.Whole && f.View == "front" {
			return "side"
		}
	}
	return "front"
}

// sessionOf is the session that the path names.
func (d *Desk) sessionOf(r request) (archive.Session, error) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err == nil {
		var s archive.Session
		if s, err = d.Archive.Session(r.Context(), id); err == nil {
			return s, nil
		}
	}
	return archive.Session{}, &refusal{http.StatusNotFound, "There is no such session."}
}

func (d *Desk) session(r request) error {
	s, err := d.sessionOf(r)
	if err != nil {
		return err
	}
	p := sessionPage{Session: s, Tasks: kinematics.Tasks}
	if p.Queue, err = d.queueOf(r, s.ID); err != nil {
		return err
	}
	athletes, err := d.Archive.Athletes(r.Context())
	if err != nil {
		return err
	}
	for _, a := range athletes {
		row := athleteToFilm{Athlete: a, Path: athletePath(a.Code)}
		for _, t := range p.Queue.Trials {
			if t.Athlete == a.Code {
				row.Clips++
			}
		}
		p.Athletes = append(p.Athletes, row)
	}
	return d.show(r, "session.html", "Session "+s.Date, p)
}

// sessionQueue is the part of the page that changes while clips are worked on.
func (d *Desk) sessionQueue(r request) error {
	s, err := d.sessionOf(r)
	if err != nil {
		return err
	}
	q, err := d.queueOf(r, s.ID)
	if err != nil {
		return err
	}
	return d.show(r, "queue.html", "", q)
}

func (d *Desk) sessionEvents(r request) error {
	s, err := d.sessionOf(r)
	if err != nil {
		return err
	}
	return d.stream(r, sessionTopic(s.ID))
}

func (d *Desk) addSession(r request) error {
	s := archive.Session{Date: r.PostForm.Get("date"), Title: strings.TrimSpace(r.PostForm.Get("title"))}
	if len(s.Title) > 80 {
		return bad("the title is longer than 80 letters; make it shorter")
	}
	if s.Date == "" {
		s.Date = time.Now().Format(time.DateOnly)
	}
	s, err := d.Archive.EnsureSession(r.Context(), s)
	if err != nil {
		return bad("%v", err)
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, "opened the session of "+s.Date, ""); err != nil {
		return err
	}
	return see(r, sessionPath(s.ID))
}

func sessionPath(id int64) string { return "/session/" + strconv.FormatInt(id, 10) }

// takeOf is the take that the path names.
func (d *Desk) takeOf(r request) (archive.Take, error) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err == nil {
		var t archive.Take
		if t, err = d.Archive.Take(r.Context(), id); err == nil {
			return t, nil
		}
	}
	return archive.Take{}, &refusal{http.StatusNotFound, "There is no such clip on its way."}
}

// startTake puts a take to work again, perhaps with another person, or without the view
// that did not come.
func (d *Desk) startTake(r request) error {
	return d.changeTake(r, "had a clip worked on again", func(t archive.Take) error {
		o := t.Options
		if p := r.PostForm.Get("person"); p != "" {
			asked, err := takeOptions(map[string]string{"person": p})
			if err != nil {
				return err
			}
			o.Person = asked.Person
		}
		if err := d.Archive.StartTake(r.Context(), t.ID, o); err != nil {
			return err
		}
		d.enqueue(context.WithoutCancel(r.Context()))
		return nil
	})
}

func (d *Desk) dropTake(r request) error {
	return d.changeTake(r, "took a clip away", func(t archive.Take) error { return d.Archive.DropTake(r.Context(), t.ID) })
}

func (d *Desk) changeTake(r request, did string, do func(t archive.Take) error) error {
	t, err := d.takeOf(r)
	if err != nil {
		return err
	}
	if err := do(t); err != nil {
		var no *refusal
		if errors.As(err, &no) {
			return no
		}
		return bad("%v", err)
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, did, t.Athlete); err != nil {
		return err
	}
	d.news.tell(sessionTopic(t.Session.ID))
	return see(r, sessionPath(t.Session.ID))
}
