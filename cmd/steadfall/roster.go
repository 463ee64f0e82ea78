package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"steadfall/internal/archive"
	"steadfall/kinematics"
)

// mostRoster is more than the table of any squad, in bytes.
const mostRoster = 8 << 20

// find is the athlete of a code, or one of whom only the code is known.
func find(all []archive.Athlete, code string) (archive.Athlete, bool) {
	for _, p := range all {
		if strings.EqualFold(p.Code, code) {
			return p, true
		}
	}
	return archive.Athlete{Code: code}, false
}

// differences are what changes between two states of an athlete, or nothing.
func differences(was, now archive.Athlete) string {
	var out []string
	for _, d := range []struct{ what, was, now string }{
		{"name", was.Name, now.Name},
		{"sex", was.Sex, now.Sex},
		{"birth_year", orDash(was.BirthYear != 0, "%d", was.BirthYear), orDash(now.BirthYear != 0, "%d", now.BirthYear)},
		{"leg", string(was.Leg), string(now.Leg)},
		{"height_cm", orDash(was.HeightCM != 0, "%g", was.HeightCM), orDash(now.HeightCM != 0, "%g", now.HeightCM)},
		{"mass_kg", orDash(was.MassKG != 0, "%g", was.MassKG), orDash(now.MassKG != 0, "%g", now.MassKG)},
		{"notes", was.Notes, now.Notes},
		{"consent", consentWords(was), consentWords(now)},
	} {
		if d.was != d.now {
			out = append(out, fmt.Sprintf("%s %s → %s", d.what, orDash(d.was != "", "%s", d.was), d.now))
		}
	}
	return strings.Join(out, "; ")
}

// rosterRow is a line of a roster: what its filled cells say of an athlete.
type rosterRow struct {
	line    int
	code    string
	consent bool // whether it has one
	set     []func(p *archive.Athlete) error
}

// on is an athlete with what the row says of them.
func (r rosterRow) on(p archive.Athlete) (archive.Athlete, error) {
	was := p.Consent
	p.Consent = nil
	for _, set := range r.set {
		if err := set(&p); err != nil {
			return p, fmt.Errorf("line %d, %w", r.line, err)
		}
	}
	if err := p.Check(); err != nil {
		return p, fmt.Errorf("line %d: %w", r.line, err)
	}
	// A list that is older than somebody's newest word does not take it back.
	if c := p.Consent; c == nil || was != nil && (c.Date < was.Date || c.Date == was.Date && !was.Given) {
		p.Consent = was
	}
	return p, nil
}

// rosterColumns set one detail of an athlete from a cell.
var rosterColumns = map[string]func(p *archive.Athlete, cell string) error{
	"code":       func(p *archive.Athlete, c string) error { return nil },
	"name":       func(p *archive.Athlete, c string) error { p.Name = c; return nil },
	"sex":        func(p *archive.Athlete, c string) error { p.Sex = strings.ToLower(c); return nil },
	"leg":        func(p *archive.Athlete, c string) error { p.Leg = kinematics.Side(strings.ToLower(c)); return nil },
	"notes":      func(p *archive.Athlete, c string) error { p.Notes = c; return nil },
	"birth_year": func(p *archive.Athlete, c string) (err error) { p.BirthYear, err = rosterYear(c); return err },
	"height_cm":  func(p *archive.Athlete, c string) (err error) { p.HeightCM, err = rosterNumber(c); return err },
	"mass_kg":    func(p *archive.Athlete, c string) (err error) { p.MassKG, err = rosterNumber(c); return err },
	"consent_by": func(p *archive.Athlete, c string) error { consentOf(p).By = c; return nil },
	"consent_on": func(p *archive.Athlete, c string) error { consentOf(p).Date = rosterDate(c); return nil },
}

func consentOf(p *archive.Athlete) *archive.Consent {
	if p.Consent == nil {
		p.Consent = &archive.Consent{Given: true}
	}
	return p.Consent
}

// rosterDate is a date as the archive writes it, where it came with dots, which are written
// with the day first.
func rosterDate(cell string) string {
	if t, err := time.Parse("2.1.2006", cell); err == nil {
		return t.Format(time.DateOnly)
	}
	return cell
}

func rosterYear(cell string) (int, error) {
	year, err := strconv.Atoi(cell)
	if err != nil {
		return 0, fmt.Errorf("%q is not a year", cell)
	}
	return year, nil
}

var decimalComma = regexp.MustCompile(`^\d+,\d{1,2}$`)

// rosterNumber reads a number with a decimal point, or with a comma that cannot part
// thousands.
func rosterNumber(cell string) (float64, error) {
	if decimalComma.MatchString(cell) {
		cell = strings.Replace(cell, ",", ".", 1)
	}
	return finite(cell)
}

// readRoster reads a table of athletes as a spreadsheet wrote it.
func readRoster(name string) ([]rosterRow, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, errors.New("the table cannot be read; check the name and the folder")
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, mostRoster+1))
	if err != nil {
		return nil, errors.New("the table cannot be read; check the name and the folder")
	}
	text, err := rosterText(data)
	if err != nil {
		return nil, err
	}
	return parseRoster(text)
}

// rosterText is a table as text, or says what it is instead.
func rosterText(data []byte) (string, error) {
	switch {
	case len(data) > mostRoster:
		return "", fmt.Errorf("this is larger than the table of a squad (%d MB); check the file", mostRoster>>20)
	case bytes.HasPrefix(data, []byte("PK\x03\x04")), bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		return "", errors.New("this is a spreadsheet's own file; save it as CSV, in UTF-8, and import that")
	}
	// The mark at the front says which Unicode it is; UTF-8 where there is none.
	text, _, err := transform.Bytes(unicode.BOMOverride(transform.Nop), data)
	switch {
	case err != nil:
		return "", errors.New("this is damaged UTF-16; save the table as CSV in UTF-8, and import that")
	case bytes.IndexByte(text, 0) >= 0:
		return "", errors.New("this is UTF-16 without a mark at its front, or no text; save the table as CSV in UTF-8, and import that")
	case !utf8.Valid(text):
		return "", errors.New("this is text in an older encoding (Windows-1252, Latin-1 or alike), whose letters cannot be told; save the table as CSV in UTF-8, and import that")
	}
	return string(text), nil
}

// parseRoster reads the lines of a table.
func parseRoster(text string) ([]rosterRow, error) {
	in := csv.NewReader(strings.NewReader(text))
	head, rest, _ := strings.Cut(text, "\n")
	if parts, ok := strings.CutPrefix(strings.TrimRight(head, "\r"), "sep="); ok && len(parts) == 1 { // as some spreadsheets begin
		in = csv.NewReader(strings.NewReader("\n" + rest)) // so that lines are still counted from the first
		head, _, _ = strings.Cut(rest, "\n")
	}
	in.Comma = parting(head)
	columns, err := in.Read()
	if err != nil {
		return nil, badTable(err)
	}
	if err := checkColumns(columns); err != nil {
		return nil, err
	}
	var out []rosterRow
	lines := map[string]int{}
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, badTable(err)
		}
		line, _ := in.FieldPos(0)
		r, filled := readRow(line, columns, cells)
		if !filled {
			continue
		}
		if err := (archive.Athlete{Code: r.code}).Check(); err != nil {
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
		if before := lines[strings.ToLower(r.code)]; before > 0 {
			return nil, fmt.Errorf("line %d: %s is in line %d already", line, r.code, before)
		}
		lines[strings.ToLower(r.code)] = line
		out = append(out, r)
	}
	if len(out) == 0 {
		return nil, badTable(nil)
	}
	return out, nil
}

func badTable(err error) error {
	var bad *csv.ParseError
	if errors.As(err, &bad) {
		return fmt.Errorf("line %d has another number of columns than the first, or a stray quote", bad.Line)
	}
	return errors.New("this is not a table with a line of column names and a line for each athlete")
}

// parting is what parts the columns of a table, by the line of their names.
func parting(head string) rune {
	best := ','
	for _, c := range ";\t" {
		if strings.Count(head, string(c)) > strings.Count(head, string(best)) {
			best = c
		}
	}
	return best
}

// checkColumns puts the names of columns into their plain form, and refuses what is none.
func checkColumns(columns []string) error {
	seen := map[string]bool{}
	for i, c := range columns {
		name := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(c)))
		_, ok := rosterColumns[name]
		switch {
		case !ok && name != "":
			return fmt.Errorf("there is no column %q; see steadfall athlete import --help", c)
		case seen[name] && name != "":
			return fmt.Errorf("the column %q is there twice", c)
		}
		seen[name] = true
		columns[i] = name
	}
	if !seen["code"] {
		return errors.New("there is no column code, by which athletes are known")
	}
	return nil
}

// readRow takes what the filled cells of a line say; filled is false where none is.
func readRow(line int, columns, cells []string) (r rosterRow, filled bool) {
	r.line = line
	for i, cell := range cells {
		if cell = strings.TrimSpace(cell); cell == "" {
			continue
		}
		filled = true
		column := columns[i]
		switch column {
		case "code":
			r.code = cell
		case "consent_by", "consent_on":
			r.consent = true
		}
		r.set = append(r.set, func(p *archive.Athlete) error {
			set, ok := rosterColumns[column]
			if !ok {
				return fmt.Errorf("%q stands in a column without a name", cell)
			}
			if err := set(p, cell); err != nil {
				return fmt.Errorf("%s: %w", column, err)
			}
			return nil
		})
	}
	return r, filled
}
