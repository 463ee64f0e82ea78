package present

import (
	"steadfall/internal/archive"
	"steadfall/report/export"
)

// Records are results of the archive as the exports show them.
func Records(kept []archive.Record) []export.Record {
	var out []export.Record
	for _, k := range kept {
		t := k.Trial
		signed := ""
		if k.Signed != nil {
			signed = k.Signed.By
		}
		out = append(out, export.Record{
			Athlete: t.Athlete, Date: t.Session.Date, Session: t.Session.Title, Task: t.Task, Limb: t.Limb, Trial: t.Number, Landing: t.Landing,
			Made: k.Made, Signed: signed, Result: k.Result,
		})
	}
	return out
}
