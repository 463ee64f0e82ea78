package desk

import (
	"errors"
	"io"
	"net/http"
	"net/url"
	"strconv"

	"steadfall/internal/present"
	"steadfall/kinematics"
	"steadfall/report/physio"
)

// physio is every number of a day, or of the newest.
func (d *Desk) physio(r request) error {
	code, q := r.PathValue("code"), r.URL.Query()
	if _, err := d.Archive.Athlete(r.Context(), code); err != nil {
		return &refusal{http.StatusNotFound, "There is no such athlete."}
	}
	p, err := present.Physio(r.Context(), d.Archive, code, present.Day{Date: q.Get("date"), Task: kinematics.Task(q.Get("task"))}, d.Tool,
		func(on present.Day) string {
			return athletePath(code) + "/physio?" + url.Values{"date": {on.Date}, "task": {string(on.Task)}}.Encode()
		}, func(id int64) string { return "/trial/" + strconv.FormatInt(id, 10) })
	if errors.Is(err, present.ErrNoTrial) {
		return &refusal{http.StatusNotFound, "There is no trial of that day and task; choose another on the athlete's page."}
	}
	if err != nil {
		return err
	}
	p.Locale = d.locale()
	if p.Frame, err = d.frame(r, "", nil); err != nil {
		return err
	}
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, "looked at every number", p.Code); err != nil {
		return err
	}
	return deliver(r, func(w io.Writer) error { return physio.Write(w, p) })
}
