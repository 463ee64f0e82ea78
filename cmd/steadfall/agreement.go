package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"steadfall/internal/bounded"
	"steadfall/internal/quantity"
	"steadfall/scoring"
)

func newAgreement() *cobra.Command {
	return &cobra.Command{
		Use:   "agreement RATINGS.csv",
		Short: "tell how well raters agree",
		Long: `Tell how well raters agree on the same trials, each rated without seeing the others. The
file has a first line of "trial" and the raters' code names, and a line for each trial;
ratings are numbers (totals, angles) or yes and no (single items).`,
		Example: "  steadfall agreement totals.csv",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return wrong(cmd, "name one file of ratings, not %d", len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			f, err := os.Open(args[0])
			if err != nil {
				return fmt.Errorf("the ratings %q cannot be read; check the name and the folder", args[0])
			}
			defer f.Close()
			r, err := readRatings(f)
			if err != nil {
				return fmt.Errorf("%q: %w", args[0], err)
			}
			return r.print(cmd.OutOrStdout())
		},
	}
}

// ratings are what each rater gave each trial.
type ratings struct {
	raters []string
	values [][]float64 // by trial, then rater; 1 and 0 for yes and no
	yesNo  bool
}

func readRatings(in io.Reader) (ratings, error) {
	rows, err := csv.NewReader(bounded.Table(in)).ReadAll()
	if err != nil {
		var p *csv.ParseError
		if errors.As(err, &p) {
			return ratings{}, fmt.Errorf("line %d has another number of columns than the first, or a stray quote", p.Line)
		}
		return ratings{}, fmt.Errorf("the file %w", err)
	}
	if len(rows) < 3 || len(rows[0]) < 3 || strings.TrimSpace(rows[0][0]) != "trial" {
		return ratings{}, errors.New(`the first line must be "trial" and at least two raters' names, and at least two trials must follow`)
	}
	r := ratings{raters: rows[0][1:]}
	r.yesNo = slices.Contains([]string{"yes", "no"}, strings.ToLower(strings.TrimSpace(rows[1][1])))
	for n, row := range rows[1:] {
		var vs []float64
		for i, cell := range row[1:] {
			v, err := r.parse(strings.ToLower(strings.TrimSpace(cell)))
			if err != nil {
				return r, fmt.Errorf("line %d, rater %s: %w", n+2, r.raters[i], err)
			}
			vs = append(vs, v)
		}
		r.values = append(r.values, vs)
	}
	return r, nil
}

func (r ratings) parse(cell string) (float64, error) {
	if r.yesNo {
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

// column is what one rater gave.
func (r ratings) column(i int) []float64 {
	var out []float64
	for _, row := range r.values {
		out = append(out, row[i])
	}
	return out
}

func (r ratings) print(w io.Writer) error {
	if !r.yesNo {
		c, err := scoring.NewICC(r.values)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "%d trials, %d raters\n", c.Targets, c.Raters)
		fmt.Fprintf(w, "one rating, raters a sample of all raters: ICC(2,1) %.2f, 95 %% interval %.2f to %.2f\n", c.TwoSingle, c.TwoSingleLow, c.TwoSingleHigh)
		fmt.Fprintf(w, "other forms: (1,1) %.2f, (3,1) %.2f; of the raters' mean (1,k) %.2f, (2,k) %.2f, (3,k) %.2f\n", c.OneSingle, c.ThreeSingle, c.OneMean, c.TwoMean, c.ThreeMean)
		fmt.Fprintf(w, "standard error of one rating: %.2f; smallest change that is not noise: %.2f\n", c.SEMAgreement, scoring.DetectableChange(c.SEMAgreement))
	}
	for i := range r.raters {
		for j := i + 1; j < len(r.raters); j++ {
			if err := r.printPair(w, i, j); err != nil {
				return err
			}
		}
	}
	return nil
}

func (r ratings) printPair(w io.Writer, i, j int) error {
	a, b := r.column(i), r.column(j)
	pair := r.raters[i] + " and " + r.raters[j]
	if r.yesNo {
		yes := func(v []float64) []bool {
			var out []bool
			for _, x := range v {
				out = append(out, x == 1)
			}
			return out
		}
		k, err := scoring.NewKappa(yes(a), yes(b))
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "%s: same in %.0f %% of %d, kappa %s, PABAK %.2f\n", pair, 100*k.Observed, k.N, kappaWords(k), k.PABAK)
		return nil
	}
	if len(a) < 3 {
		return nil
	}
	l, err := scoring.NewLimits(a, b)
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "%s: mean difference %+.2f, 19 differences in 20 between %+.2f and %+.2f\n", pair, l.Bias, l.Low, l.High)
	return nil
}
