package archive

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// DataExport is everything the archive has of one athlete, for themselves to have.
type DataExport struct {
	Schema     int             `json:"schema"`
	Squad      string          `json:"squad"`
	Invented   bool            `json:"invented"` // nobody in it is real
	Athlete    Athlete         `json:"athlete"`
	Consents   []Consent       `json:"consents"`
	Attendance []AttendanceOn  `json:"attendance"`
	PainOver   []PainOver      `json:"pain_over"`
	Decisions  []Decision      `json:"decisions"`
	Backups    []Backup        `json:"backups"` // that hold the athlete
	Shares     []Share         `json:"shares"`
	Audit      []Audited       `json:"audit"` // what staff saw and did
	Takes      []Take          `json:"takes"` // what was filmed at the desk
	Trials     []ExportedTrial `json:"trials"`
	Missing    []string        `json:"missing,omitempty"` // files that the archive has lost
}

// AttendanceOn is an athlete's attendance at one session.
type AttendanceOn struct {
	Date   string `json:"date"`
	Pain   *int   `json:"pain"`
	Absent string `json:"absent"`
}

// ExportedTrial is a trial with the names of its files in the export.
type ExportedTrial struct {
	Trial     Trial              `json:"trial"`
	Views     []ExportedView     `json:"views"`
	Pictures  []ExportedPicture  `json:"pictures"`
	Results   []Scored           `json:"results"` // of every version and checklist
	Ratings   []Rating           `json:"ratings"`
	Overrides []scoring.Override `json:"overruled"`
	Signed    *Signed            `json:"signed,omitempty"`
	Placed    []Placed           `json:"placed"` // points that people placed
	Again     AgainState         `json:"measuring_again,omitempty"`
}

// ExportedView is one view of a trial.
type ExportedView struct {
	View    kinematics.View    `json:"view"`
	Points  string             `json:"points"`
	Options kinematics.Options `json:"settings"`
	Track   string             `json:"track"`
	Clip    string             `json:"clip,omitempty"`
}

// ExportedPicture is one still of a trial.
type ExportedPicture struct {
	View    kinematics.View `json:"view"`
	Moment  string          `json:"moment"`
	TimeS   float64         `json:"time_s"`
	Caption string          `json:"caption"`
	File    string          `json:"file"`
}

// ExportAthlete writes everything of an athlete into one ZIP file: athlete.json, tracks,
// clips and pictures. missing are the names of those files in it that the archive has lost.
func (a *Archive) ExportAthlete(ctx context.Context, code, to string) (missing []string, err error) {
	if _, err := os.Stat(to); err == nil {
		return nil, fmt.Errorf("%q is there already; choose another name", to)
	}
	if err := NotOwn(to); err != nil {
		return nil, err
	}
	d, files, err := a.dataExport(ctx, code)
	if err != nil {
		return nil, err
	}
	files = slices.DeleteFunc(files, func(e entry) bool {
		in, err := e.open()
		if err != nil {
			d.Missing = append(d.Missing, e.name)
			return true
		}
		in.Close()
		return false
	})
	text, err := json.MarshalIndent(d, "", " ")
	if err != nil {
		return nil, err
	}
	files = append(files, content("athlete.json", text))
	tmp := to + ".part"
	defer os.Remove(tmp)
	if _, err := writeZip(ctx, tmp, files, func(no *unreadable) error { return no }, nil); err != nil {
		return nil, err
	}
	if err := os.Rename(tmp, to); err != nil {
		return nil, fmt.Errorf("%q could not be written", to)
	}
	return d.Missing, nil
}

func (a *Archive) dataExport(ctx context.Context, code string) (DataExport, []entry, error) {
	var files []entry
	squad, err := a.Squad(ctx)
	if err != nil {
		return DataExport{}, nil, err
	}
	d := DataExport{Schema: 1, Squad: squad.Name, Invented: squad.Invented}
	if d.Athlete, err = a.Athlete(ctx, code); err != nil {
		return d, nil, err
	}
	id := d.Athlete.ID
	if d.Consents, err = gather(ctx, a, func(rows *sql.Rows, c *Consent) error { return rows.Scan(&c.Given, &c.Date, &c.By) },
		"SELECT given, date, by_whom FROM consent WHERE athlete = ? ORDER BY id", id); err != nil {
		return d, nil, err
	}
	if d.Attendance, err = gather(ctx, a, func(rows *sql.Rows, t *AttendanceOn) error { return rows.Scan(&t.Date, &t.Pain, &t.Absent) },
		"SELECT s.date, pain, absent FROM attendance t JOIN session s ON s.id = t.session WHERE athlete = ? ORDER BY s.date, s.id", id); err != nil {
		return d, nil, err
	}
	if d.PainOver, err = a.painsOver(ctx, id); err != nil {
		return d, nil, err
	}
	if d.Decisions, err = a.Decisions(ctx, code); err != nil {
		return d, nil, err
	}
	if d.Backups, err = a.backupsOf(ctx, id); err != nil {
		return d, nil, err
	}
	if d.Shares, err = a.Shares(ctx, code); err != nil {
		return d, nil, err
	}
	if d.Audit, err = a.audits(ctx, "u.athlete = ?", id); err != nil {
		return d, nil, err
	}
	if d.Takes, err = a.takesOf(ctx, id); err != nil {
		return d, nil, err
	}
	for _, t := range d.Takes {
		for _, f := range t.Files {
			if f.Whole {
				files = append(files, file(fmt.Sprintf("takes/%d-%s", t.ID, f.View), a.IncomingFile(f)))
			}
		}
	}
	trials, err := a.Trials(ctx, code, 0)
	if err != nil {
		return d, nil, err
	}
	for _, t := range trials {
		if err := ctx.Err(); err != nil {
			return d, nil, err
		}
		one, more, err := a.exportedTrial(ctx, t)
		if err != nil {
			return d, nil, err
		}
		d.Trials = append(d.Trials, one)
		files = append(files, more...)
	}
	return d, files, nil
}

func (a *Archive) exportedTrial(ctx context.Context, t Trial) (ExportedTrial, []entry, error) {
	out := ExportedTrial{Trial: t}
	var files []entry
	views, err := a.Views(ctx, t.ID)
	if err != nil {
		return out, nil, err
	}
	for _, v := range views {
		w := ExportedView{View: v.Track.View, Points: v.Points, Options: v.Options, Track: fmt.Sprintf("tracks/%d-%s.csv", t.ID, v.Track.View)}
		var b bytes.Buffer
		if err := kinematics.WriteTrack(&b, v.Track); err != nil {
			return out, nil, err
		}
		files = append(files, content(w.Track, b.Bytes()))
		if v.Clip != "" {
			w.Clip = fmt.Sprintf("clips/%d-%s%s", t.ID, v.Track.View, filepath.Ext(v.Clip))
			files = append(files, file(w.Clip, v.Clip))
		}
		out.Views = append(out.Views, w)
	}
	out.Pictures, err = gather(ctx, a, func(rows *sql.Rows, p *ExportedPicture) error {
		var kept string
		if err := rows.Scan(&p.View, &p.Moment, &p.TimeS, &p.Caption, &kept); err != nil {
			return err
		}
		p.File = fmt.Sprintf("pictures/%d-%s-%s%s", t.ID, p.View, p.Moment, filepath.Ext(kept))
		files = append(files, file(p.File, filepath.Join(a.dir, pictures, kept)))
		return nil
	}, "SELECT view, moment, time_s, caption, file FROM picture WHERE trial = ? ORDER BY view, time_s", t.ID)
	if err != nil {
		return out, nil, err
	}
	if out.Results, err = a.Results(ctx, t.ID); err != nil {
		return out, nil, err
	}
	if out.Overrides, err = a.Overrides(ctx, t.ID); err != nil {
		return out, nil, err
	}
	if out.Signed, err = a.SignedBy(ctx, t.ID); err != nil {
		return out, nil, err
	}
	if out.Placed, err = a.Placements(ctx, t.ID); err != nil {
		return out, nil, err
	}
	if out.Again, _, err = a.Again(ctx, t.ID); err != nil {
		return out, nil, err
	}
	out.Ratings, err = a.ratings(ctx, "r.trial = ?", t.ID)
	return out, files, err
}

// entry is one file on its way into a ZIP file.
type entry struct {
	name string
	open func() (io.ReadCloser, error)
}

func content(name string, data []byte) entry {
	return entry{name, func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }}
}

func file(name, path string) entry {
	return entry{name, func() (io.ReadCloser, error) { return os.Open(path) }}
}

// Record is one result of a trial, for exports.
type Record struct {
	Trial
	Scored
	Signed *Signed
}

// Records returns the newest result of each trial, or every one of them when all is true,
// of one athlete or session when asked so; see Trials.
func (a *Archive) Records(ctx context.Context, code string, session int64, all bool, tell func(done, total int)) ([]Record, error) {
	trials, err := a.Trials(ctx, code, session)
	if err != nil {
		return nil, err
	}
	var out []Record
	for i, t := range trials {
		results, err := a.Results(ctx, t.ID)
		if err != nil {
			return nil, err
		}
		if !all {
			results = results[max(0, len(results)-1):]
		}
		words, err := a.Overrides(ctx, t.ID)
		if err != nil {
			return nil, err
		}
		signed, err := a.SignedBy(ctx, t.ID)
		if err != nil {
			return nil, err
		}
		for i, r := range results {
			r.Result.Series = map[string]scoring.Series{} // curves are in the reports
			if i == len(results)-1 {                      // people's words are on the newest
				r.Result.Score = r.Result.Score.Overridden(words)
			}
			out = append(out, Record{t, r, signed})
		}
		if tell != nil {
			tell(i+1, len(trials))
		}
	}
	return out, nil
}
