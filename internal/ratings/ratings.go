// Package ratings reads and writes the tables that raters fill in.
package ratings

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"steadfall/internal/bounded"
	"steadfall/internal/quantity"
)

// Table is what each rater gave each trial.
type Table struct {
	Raters []string
	Values [][]float64 // by trial, then rater; 1 and 0 for yes and no
	YesNo  bool
}

// Read reads a table whose first line is "trial" and the raters' names, and each other line a
// trial with its ratings: numbers, or yes and no.
func Read(in io.Reader) (Table, error) {
	rows, err := csv.NewReader(bounded.Table(in)).ReadAll()
	if err != nil {
		return Table{}, unreadable(err)
	}
	if len(rows) < 3 || len(rows[0]) < 3 || strings.TrimSpace(rows[0][0]) != "trial" {
		return Table{}, errors.New(`the first line must be "trial" and at least two raters' names, and at least two trials must follow`)
	}
	t := Table{Raters: rows[0][1:]}
	t.YesNo = slices.Contains([]string{"yes", "no"}, strings.ToLower(strings.TrimSpace(rows[1][1])))
	for n, row := range rows[1:] {
		var vs []float64
		for i, cell := range row[1:] {
			v, err := t.parse(strings.ToLower(strings.TrimSpace(cell)))
			if err != nil {
				return t, fmt.Errorf("line %d, rater %s: %w", n+2, t.Raters[i], err)
			}
			vs = append(vs, v)
		}
		t.Values = append(t.Values, vs)
	}
	return t, nil
}

// unreadable says why a file is no table.
func unreadable(err error) error {
	var p *csv.ParseError
	if errors.As(err, &p) {
		return fmt.Errorf("line %d has another number of columns than the first, or a stray quote", p.Line)
	}
	return fmt.Errorf("the file %w", err)
}

func (t Table) parse(cell string) (float64, error) {
	if t.YesNo {
		switch cell {
		case "yes":
			return 1, nil
		case "no":
			return 0, nil
		}
		return 0, fmt.Errorf("%q is neither yes nor no", cell)
	}
	v, err := quantity.Number(cell)
	if err != nil {
		return 0, fmt.Errorf("%w; every trial must be rated by every rater", err)
	}
	return v, nil
}

// Column is what one rater gave.
func (t Table) Column(i int) []float64 {
	var out []float64
	for _, row := range t.Values {
		out = append(out, row[i])
	}
	return out
}
