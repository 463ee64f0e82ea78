// Package roster reads a table of athletes as spreadsheets write it.
package roster

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
	"steadfall/internal/quantity"
	"steadfall/kinematics"
)

// mostBytes is more than the table of any squad, in bytes.
const mostBytes = 8 << 20

// Row is a line of a roster: what its filled cells say of an athlete.
type Row struct {
	line    int
	Code    string
	Consent bool // whether it has one
	set     []func(p *archive.Athlete) error
}

// Read reads a table of athletes as a spreadsheet wrote it.
func Read(name string) ([]Row, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, errors.New("the table cannot be read; check the name and the folder")
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, mostBytes+1))
	if err != nil {
		return nil, errors.New("the table cannot be read; check the name and the folder")
	}
	text, err := textOf(data)
	if err != nil {
		return nil, err
	}
	return parse(text)
}

// textOf is a table as text, or says what it is instead.
func textOf(data []byte) (string, error) {
	switch {
	case len(data) > mostBytes:
		return "", fmt.Errorf("this is larger than the table of a squad (%d MB); check the file", mostBytes>>20)
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

// parse reads the lines of a table.
func parse(text string) ([]Row, error) {
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
	var out []Row
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
		if err := (archive.Athlete{Code: r.Code}).Check(); err != nil {
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
		if before := lines[strings.ToLower(r.Code)]; before > 0 {
			return nil, fmt.Errorf("line %d: %s is in line %d already", line, r.Code, before)
		}
		lines[strings.ToLower(r.Code)] = line
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
		_, ok := columnSetters[name]
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
func readRow(line int, columns, cells []string) (r Row, filled bool) {
	r.line = line
	for i, cell := range cells {
		if cell = strings.TrimSpace(cell); cell == "" {
			continue
		}
		filled = true
		column := columns[i]
		switch column {
		case "code":
			r.Code = cell
		case "consent_by", "consent_on":
			r.Consent = true
		}
		r.set = append(r.set, func(p *archive.Athlete) error {
			set, ok := columnSetters[column]
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

// On is an athlete with what the row says of them.
func (r Row) On(p archive.Athlete) (archive.Athlete, error) {
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

// columnSetters set one detail of an athlete from a cell.
var columnSetters = map[string]func(p *archive.Athlete, cell string) error{
	"code":       func(p *archive.Athlete, c string) error { return nil },
	"name":       func(p *archive.Athlete, c string) error { p.Name = c; return nil },
	"sex":        func(p *archive.Athlete, c string) error { p.Sex = strings.ToLower(c); return nil },
	"leg":        func(p *archive.Athlete, c string) error { p.Leg = kinematics.Side(strings.ToLower(c)); return nil },
	"notes":      func(p *archive.Athlete, c string) error { p.Notes = c; return nil },
	"birth_year": func(p *archive.Athlete, c string) (err error) { p.BirthYear, err = yearOf(c); return err },
	"height_cm":  func(p *archive.Athlete, c string) (err error) { p.HeightCM, err = numberOf(c); return err },
	"mass_kg":    func(p *archive.Athlete, c string) (err error) { p.MassKG, err = numberOf(c); return err },
	"consent_by": func(p *archive.Athlete, c string) error { consentOf(p).By = c; return nil },
	"consent_on": func(p *archive.Athlete, c string) error { consentOf(p).Date = dateOf(c); return nil },
}

func consentOf(p *archive.Athlete) *archive.Consent {
	if p.Consent == nil {
		p.Consent = &archive.Consent{Given: true}
	}
	return p.Consent
}

// dateOf is a date as the archive writes it, where it came with dots, which are written
// with the day first.
func dateOf(cell string) string {
	if t, err := time.Parse("2.1.2006", cell); err == nil {
		return t.Format(time.DateOnly)
	}
	return cell
}

func yearOf(cell string) (int, error) {
	year, err := strconv.Atoi(cell)
	if err != nil {
		return 0, fmt.Errorf("%q is not a year", cell)
	}
	return year, nil
}

var decimalComma = regexp.MustCompile(`^\d+,\d{1,2}$`)

// numberOf reads a number with a decimal point, or with a comma that cannot part
// thousands.
func numberOf(cell string) (float64, error) {
	if decimalComma.MatchString(cell) {
		cell = strings.Replace(cell, ",", ".", 1)
	}
	return quantity.Number(cell)
}
