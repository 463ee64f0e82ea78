// Package export writes results as tables, JSON and FHIR.
package export

import (
	_ "embed"
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"
	"strings"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Schema is the published JSON Schema of WriteJSON's files; their results follow
// scoring.ResultSchema.
//
//go:embed schema/export.schema.json
var Schema []byte

// Record is one result of one trial on its way out.
type Record struct {
	Athlete string          `json:"athlete"` // code
	Date    string          `json:"date"`    // YYYY-MM-DD
	Session string          `json:"session,omitempty"`
	Task    kinematics.Task `json:"task"`
	Limb    kinematics.Side `json:"limb"`
	Trial   int             `json:"trial"`
	Landing int             `json:"landing"`
	Made    string          `json:"made"`             // when it was scored, RFC 3339
	Signed  string          `json:"signed,omitempty"` // who stands by it
	Result  scoring.Result  `json:"result"`
}

func (r Record) key() []string {
	return []string{r.Athlete, r.Date, Cell(r.Session), string(r.Task), string(r.Limb), strconv.Itoa(r.Trial), strconv.Itoa(r.Landing)}
}

// Cell is free text as a table takes it: what a spreadsheet would run as a formula is made
// text by a leading apostrophe.
func Cell(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

var keyHeader = []string{"athlete", "date", "session", "task", "limb", "trial", "landing"}

// WriteMeasures writes a tidy table: one row for each measure of each record.
func WriteMeasures(w io.Writer, all []Record) error {
	return writeTable(w, []string{"measure", "side", "view", "value", "sd", "unit", "at_least", "frame", "time_s", "tool"}, func(row func(Record, ...string)) {
		for _, r := range all {
			for _, m := range r.Result.Measures {
				row(r, m.Name, string(m.Side), string(m.View), decimal(m.Value), decimal(m.SD), m.Unit, strconv.FormatBool(m.AtLeast), strconv.Itoa(m.Frame), decimal(m.TimeS), r.Result.Tool)
			}
		}
	})
}

// WriteFindings writes a tidy table: one row for each finding of each record.
func WriteFindings(w io.Writer, all []Record) error {
	return writeTable(w, []string{"checklist", "item", "side", "finding", "points", "probability", "value", "sd", "unit", "error_when", "threshold", "view", "why", "made", "tool"}, func(row func(Record, ...string)) {
		for _, r := range all {
			for _, f := range r.Result.Score.Items {
				row(r, r.Result.Score.Checklist, f.ID, string(f.Side), string(f.Finding), strconv.Itoa(f.Points), known(f.Probability), known(f.Value), known(f.SD), f.Unit, f.ErrorWhen, known(f.Threshold), string(f.View), f.Why, r.Made, r.Result.Tool)
			}
		}
	})
}

func writeTable(w io.Writer, header []string, rows func(row func(Record, ...string))) error {
	c := csv.NewWriter(w)
	if err := c.Write(append(append([]string{}, keyHeader...), header...)); err != nil {
		return err
	}
	var failed error
	rows(func(r Record, cells ...string) {
		if failed == nil {
			failed = c.Write(append(r.key(), cells...))
		}
	})
	c.Flush()
	if failed != nil {
		return failed
	}
	return c.Error()
}

func decimal(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func known(v *float64) string {
	if v == nil {
		return ""
	}
	return decimal(*v)
}

// Document is what WriteJSON writes.
type Document struct {
	Schema   int      `json:"schema"`
	Squad    string   `json:"squad"`
	Invented bool     `json:"invented"` // nobody in it is real
	Records  []Record `json:"records"`
}

// WriteJSON writes records as JSON that follows Schema.
func WriteJSON(w io.Writer, e Document) error {
	e.Schema = 1
	if e.Records == nil {
		e.Records = []Record{}
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", " ")
	enc.SetEscapeHTML(false)
	return enc.Encode(e)
}
