package desk

import (
	"bytes"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"steadfall/internal/archive"
	"steadfall/internal/notes"
	"steadfall/internal/present"
	"steadfall/internal/standing"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/athlete"
	"steadfall/report/landing"
	"steadfall/report/locale"
	"steadfall/report/squad"
	"steadfall/scoring"
)

// deliver renders a page whole before any of it is sent.
func deliver(r request, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	return send(r.w, b.Bytes())
}

// frame is what stands above and below a report that staff see.
func (d *Desk) frame(r request, bottom string, data any) (report.Frame, error) {
	top, err := d.part("bar.html", r, nil)
	if err != nil || bottom == "" {
		return report.Frame{Top: top}, err
	}
	below, err := d.part(bottom, r, data)
	return report.Frame{Top: top, Bottom: below}, err
}

// locale is that of the desk's own pages: English, as its forms are.
func (d *Desk) locale() locale.Locale { return locale.Locale{Imperial: d.Inches, At: notes.Desk} }

// asked is the same in the language that the browser asks for: of pages for athletes, which
// have no forms.
func (d *Desk) asked(r request) locale.Locale {
	s := d.locale()
	s.Language = locale.Preferred(r.Header.Get("Accept-Language"))
	return s
}

func (d *Desk) squad(r request) error {
	p, _, err := present.Squad(r.Context(), d.Archive, d.Ladder, d.Tool)
	if err != nil {
		return err
	}
	p.Locale = d.locale()
	for i := range p.Rows {
		p.Rows[i].Link = athletePath(p.Rows[i].Code)
	}
	p.Wall = "/wall"
	if p.Frame, err = d.frame(r, "squad-forms.html", time.Now().Format(time.DateOnly)); err != nil {
		return err
	}
	if len(p.Rows) == 0 {
		begin, err := d.part("begin.html", r, nil)
		if err != nil {
			return err
		}
		p.Frame.Top += begin
	}
	return deliver(r, func(w io.Writer) error { return squad.Write(w, p) })
}

// wall is the squad's page to be printed for the gym, without anybody's health.
func (d *Desk) wall(r request) error {
	p, _, err := present.Squad(r.Context(), d.Archive, d.Ladder, d.Tool)
	if err != nil {
		return err
	}
	if p.Frame, err = d.frame(r, "", nil); err != nil {
		return err
	}
	return deliver(r, func(w io.Writer) error { return squad.WriteWall(w, p) })
}

func (d *Desk) sessions(r request) error {
	all, err := d.Archive.Sessions(r.Context())
	if err != nil {
		return err
	}
	slices.Reverse(all)
	return d.show(r, "sessions.html", "Sessions", struct {
		All   []archive.SessionCount
		Today string
	}{all, time.Now().Format(time.DateOnly)})
}

// athleteForms are what staff can do about an athlete.
type athleteForms struct {
	Athlete  archive.Athlete
	Steps    []scoring.Step
	Next     string // id of the step after the present one; empty for none
	Sessions []archive.SessionCount
	Shares   []archive.Share
	NewLink  string // path of a link just made; shown once
	Address  string // of the desk
	Decides  bool
	Deletes  bool
	Now      time.Time
}

func (d *Desk) athlete(r request) error {
	code := r.PathValue("code")
	p, err := d.athletePage(r, code, func(id int64) string { return "/trial/" + strconv.FormatInt(id, 10) })
	if err != nil {
		return err
	}
	if len(p.Trials) > 0 {
		p.Links = []report.Link{{Words: "Every number of a day, for the physio", To: athletePath(p.Code) + "/physio"}}
	}
	forms, err := d.formsOf(r, p)
	if err != nil {
		return err
	}
	if p.Frame, err = d.frame(r, "athlete-forms.html", forms); err != nil {
		return err
	}
	if forms.NewLink != "" { // what was just asked for comes first
		above, err := d.part("newlink.html", r, forms)
		if err != nil {
			return err
		}
		p.Frame.Top += above
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, "looked at the page", p.Code); err != nil {
		return err
	}
	return deliver(r, func(w io.Writer) error { return athlete.Write(w, p) })
}

func (d *Desk) formsOf(r request, p athlete.Page) (athleteForms, error) {
	role := r.login.Staff.Role
	f := athleteForms{Steps: d.Ladder.Steps, Now: time.Now(), Decides: slices.Contains(deciders, role), Deletes: slices.Contains(admins, role), NewLink: r.URL.Query().Get("link")}
	f.Next = d.Ladder.After(p.Row.Standing.Step)
	if f.NewLink != "" && !strings.HasPrefix(f.NewLink, "/shared/") {
		f.NewLink = ""
	}
	f.Address = "http://" + r.Host
	if d.Secure {
		f.Address = "https://" + r.Host
	}
	var err error
	if f.Athlete, err = d.Archive.Athlete(r.Context(), p.Code); err != nil {
		return f, err
	}
	if f.Shares, err = d.Archive.Shares(r.Context(), p.Code); err != nil {
		return f, err
	}
	f.Sessions, err = d.Archive.Sessions(r.Context())
	slices.Reverse(f.Sessions)
	return f, err
}

// athletePage gathers an athlete's page; link makes the address of a trial's report.
func (d *Desk) athletePage(r request, code string, link func(id int64) string) (athlete.Page, error) {
	at, err := standing.One(r.Context(), d.Archive, d.Ladder, code)
	if err != nil {
		return athlete.Page{}, &refusal{http.StatusNotFound, "There is no such athlete."}
	}
	p, err := present.One(r.Context(), d.Archive, d.Ladder, at, d.Tool)
	p.Locale = d.locale()
	for i := range p.Trials {
		p.Trials[i].Link = link(p.Trials[i].ID)
	}
	return p, err
}

func (d *Desk) trial(r request) error {
	p, t, err := d.trialPage(r)
	if err != nil {
		return err
	}
	if p.Frame, err = d.frame(r, "trial-forms.html", trialForms{t, p.Result.Score.Items}); err != nil {
		return err
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, "looked at trial "+r.PathValue("id"), t.Athlete); err != nil {
		return err
	}
	return deliver(r, func(w io.Writer) error { return landing.Write(w, p) })
}

// trialForms are what staff can do about a trial.
type trialForms struct {
	Trial archive.Trial
	Items []scoring.Finding
}

func (d *Desk) override(r request) error {
	return d.changeTrial(r, "overruled a finding", func(p landing.Page, t archive.Trial) error {
		id, side, _ := strings.Cut(r.PostForm.Get("finding"), " ")
		known := slices.ContainsFunc(p.Result.Score.Items, func(f scoring.Finding) bool { return f.ID == id && string(f.Side) == side })
		o := scoring.Override{Item: id, Side: kinematics.Side(side), Finding: scoring.Verdict(r.PostForm.Get("says")), Reason: strings.TrimSpace(r.PostForm.Get("reason")), By: r.login.Staff.Name}
		switch {
		case !known:
			return bad("that finding is not in this trial")
		case o.Finding != scoring.Clear && o.Finding != scoring.Error:
			return bad("say whether the error is shown or not")
		case o.Reason == "":
			return bad("say why, so that others can follow it")
		}
		return d.Archive.Override(r.Context(), t.ID, o)
	})
}

func (d *Desk) sign(r request) error {
	return d.changeTrial(r, "signed", func(_ landing.Page, t archive.Trial) error {
		return d.Archive.Sign(r.Context(), t.ID, r.login.Staff.Name)
	})
}

// changeTrial does one thing about the trial of the path, notes it and shows the trial.
func (d *Desk) changeTrial(r request, did string, do func(p landing.Page, t archive.Trial) error) error {
	p, t, err := d.trialPage(r)
	if err != nil {
		return err
	}
	if err := do(p, t); err != nil {
		return err
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, did+", trial "+r.PathValue("id"), t.Athlete); err != nil {
		return err
	}
	back := "/trial/" + r.PathValue("id")
	if r.PostForm.Get("back") == "look" {
		back += "/look"
	}
	return see(r, back)
}

// trialOf is the trial that the path names.
func (d *Desk) trialOf(r request) (archive.Trial, error) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err == nil {
		var t archive.Trial
		if t, err = d.Archive.Trial(r.Context(), id); err == nil {
			return t, nil
		}
	}
	return archive.Trial{}, &refusal{http.StatusNotFound, "There is no such trial."}
}

// trialPage is the report of the trial that the path names.
func (d *Desk) trialPage(r request) (landing.Page, archive.Trial, error) {
	t, err := d.trialOf(r)
	if err != nil {
		return landing.Page{}, t, err
	}
	p, err := present.Trial(r.Context(), d.Archive, t.ID)
	p.Locale = d.locale()
	return p, t, err
}

func (d *Desk) addAthlete(r request) error {
	f := r.PostForm
	p := archive.Athlete{Code: strings.TrimSpace(f.Get("code")), Name: strings.TrimSpace(f.Get("name"))}
	if h := strings.TrimSpace(f.Get("height_cm")); h != "" {
		v, err := strconv.ParseFloat(h, 64)
		if err != nil {
			return bad("the height is a number of centimetres, not %q", h)
		}
		p.HeightCM = v
	}
	if y := strings.TrimSpace(f.Get("birth_year")); y != "" {
		v, err := strconv.Atoi(y)
		if err != nil {
			return bad("the birth year is a year, not %q", y)
		}
		p.BirthYear = v
	}
	if by := strings.TrimSpace(f.Get("consent_by")); by != "" {
		p.Consent = &archive.Consent{Given: true, Date: f.Get("consent_on"), By: by}
	}
	if err := p.Check(); err != nil {
		return bad("%v", err)
	}
	if _, err := d.Archive.Athlete(r.Context(), p.Code); err == nil {
		return bad("there is an athlete %q already; open their page to change something", p.Code)
	}
	if _, err := d.Archive.Put(r.Context(), p); err != nil {
		return err
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, "added the athlete", p.Code); err != nil {
		return err
	}
	return see(r, athletePath(p.Code))
}

// change does one thing about the athlete of the path and notes it.
func (d *Desk) change(r request, did string, do func(code string) error) error {
	p, err := d.Archive.Athlete(r.Context(), r.PathValue("code"))
	if err != nil {
		return &refusal{http.StatusNotFound, "There is no such athlete."}
	}
	if err := do(p.Code); err != nil {
		return err
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, did, p.Code); err != nil {
		return err
	}
	return nil
}

// changeAndSee shows the athlete's page after a change.
func (d *Desk) changeAndSee(r request, did string, do func(code string) error) error {
	if err := d.change(r, did, do); err != nil {
		return err
	}
	return see(r, athletePath(r.PathValue("code")))
}

func athletePath(code string) string { return "/athlete/" + url.PathEscape(code) }

func (d *Desk) decide(r request) error {
	return d.changeAndSee(r, "decided the step", func(code string) error {
		at, err := standing.One(r.Context(), d.Archive, d.Ladder, code)
		if err != nil {
			return err
		}
		step := r.PostForm.Get("step")
		if step == standing.Done {
			step = ""
		} else if _, err := d.Ladder.Step(step); err != nil || step == "" {
			return bad("there is no step %q in the ladder", step)
		}
		reason := strings.TrimSpace(r.PostForm.Get("reason"))
		if reason == "" {
			return bad("say why, so that others can follow the decision")
		}
		told := strings.ReplaceAll(string(at.Standing.Verdict), "_", " ") + ": " + at.Standing.Because.String()
		return d.Archive.Decide(r.Context(), code, archive.Decision{Step: step, Told: told, Reason: reason, By: r.login.Staff.Name})
	})
}

func (d *Desk) pain(r request) error {
	return d.changeAndSee(r, "recorded pain", func(code string) error {
		pain, err := strconv.Atoi(r.PostForm.Get("pain"))
		if err != nil || pain < 0 || pain > 10 {
			return bad("pain is a whole number from 0 (none) to 10")
		}
		s, err := d.Archive.EnsureSession(r.Context(), archive.Session{Date: r.PostForm.Get("date")})
		if err != nil {
			return bad("%v", err)
		}
		return d.Archive.Attend(r.Context(), s, code, archive.Attendance{Pain: &pain})
	})
}

func (d *Desk) painOver(r request) error {
	return d.changeAndSee(r, "noted that pain is over", func(code string) error {
		o := archive.PainOver{Date: r.PostForm.Get("date"), By: r.login.Staff.Name}
		if err := d.Archive.NotePainOver(r.Context(), code, o); err != nil {
			return bad("%v", err)
		}
		return nil
	})
}

func (d *Desk) consent(r request) error {
	return d.changeAndSee(r, "recorded consent", func(code string) error {
		c := archive.Consent{Given: r.PostForm.Get("given") == "yes", Date: r.PostForm.Get("date"), By: strings.TrimSpace(r.PostForm.Get("by"))}
		if err := d.Archive.SetConsent(r.Context(), code, c); err != nil {
			return bad("%v", err)
		}
		return nil
	})
}

func (d *Desk) share(r request) error {
	link := ""
	err := d.change(r, "made a link for the athlete", func(code string) error {
		token, err := d.Archive.NewShare(r.Context(), code, r.login.Staff.Name, time.Now().Add(shareLasts))
		link = "?link=/shared/" + token
		return err
	})
	if err != nil {
		return err
	}
	return see(r, athletePath(r.PathValue("code"))+link) // shown once, on the page that follows
}

func (d *Desk) revoke(r request) error {
	return d.changeAndSee(r, "revoked a link", func(code string) error {
		id, err := strconv.ParseInt(r.PostForm.Get("id"), 10, 64)
		if err != nil {
			return bad("that is no link")
		}
		return d.Archive.Revoke(r.Context(), code, id)
	})
}

func (d *Desk) export(r request) error {
	p, err := d.Archive.Athlete(r.Context(), r.PathValue("code"))
	if err != nil {
		return &refusal{http.StatusNotFound, "There is no such athlete."}
	}
	tmp, err := os.MkdirTemp("", "steadfall-export-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	name := filepath.Join(tmp, p.Code+".zip")
	if _, err := d.Archive.ExportAthlete(r.Context(), p.Code, name); err != nil {
		return err
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, "took everything of the athlete", p.Code); err != nil {
		return err
	}
	r.w.Header().Set("Content-Disposition", `attachment; filename="`+p.Code+`.zip"`)
	r.w.Header().Set("Content-Type", "application/zip")
	http.ServeFile(r.w, r.Request, name)
	return nil
}

func (d *Desk) delete(r request) error {
	p, err := d.Archive.Athlete(r.Context(), r.PathValue("code"))
	if err != nil {
		return &refusal{http.StatusNotFound, "There is no such athlete."}
	}
	if !strings.EqualFold(strings.TrimSpace(r.PostForm.Get("code")), p.Code) {
		return bad("type the athlete's code to delete everything of them; nothing was deleted")
	}
	gone, err := d.Archive.Delete(r.Context(), p.Code)
	if err != nil {
		return err
	}
	d.frames.empty()
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, "deleted an athlete", ""); err != nil {
		return err
	}
	return d.show(r, "deleted.html", "Deleted", gone)
}
