package main

import (
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"steadfall/internal/ratings"
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
			t, err := readRatings(args[0])
			if err != nil {
				return err
			}
			return printRatings(cmd.OutOrStdout(), t)
		},
	}
}

func readRatings(name string) (ratings.Table, error) {
	f, err := os.Open(name)
	if err != nil {
		return ratings.Table{}, fmt.Errorf("the ratings %q cannot be read; check the name and the folder", name)
	}
	defer f.Close()
	t, err := ratings.Read(f)
	if err != nil {
		return t, fmt.Errorf("%q: %w", name, err)
	}
	return t, nil
}

func printRatings(w io.Writer, t ratings.Table) error {
	printPair := printDifferences
	if t.YesNo {
		printPair = printSame
	} else if err := printICC(w, t.Values); err != nil {
		return err
	}
	for i := range t.Raters {
		for j := i + 1; j < len(t.Raters); j++ {
			if err := printPair(w, t.Raters[i]+" and "+t.Raters[j], t.Column(i), t.Column(j)); err != nil {
				return err
			}
		}
	}
	return nil
}

// printICC prints how well all raters agree on numbers.
func printICC(w io.Writer, values [][]float64) error {
	c, err := scoring.NewICC(values)
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "%d trials, %d raters\n", c.Targets, c.Raters)
	fmt.Fprintf(w, "one rating, raters a sample of all raters: ICC(2,1) %.2f, 95 %% interval %.2f to %.2f\n", c.TwoSingle, c.TwoSingleLow, c.TwoSingleHigh)
	fmt.Fprintf(w, "other forms: (1,1) %.2f, (3,1) %.2f; of the raters' mean (1,k) %.2f, (2,k) %.2f, (3,k) %.2f\n", c.OneSingle, c.ThreeSingle, c.OneMean, c.TwoMean, c.ThreeMean)
	fmt.Fprintf(w, "standard error of one rating: %.2f; smallest change that is not noise: %.2f\n", c.SEMAgreement, scoring.DetectableChange(c.SEMAgreement))
	return nil
}

// printSame prints how often two raters say the same, yes or no.
func printSame(w io.Writer, pair string, a, b []float64) error {
	k, err := scoring.NewKappa(yeses(a), yeses(b))
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "%s: same in %.0f %% of %d, kappa %s, PABAK %.2f\n", pair, 100*k.Observed, k.N, kappaWords(k), k.PABAK)
	return nil
}

// yeses are which of the ratings are yes.
func yeses(ratings []float64) []bool {
	var out []bool
	for _, v := range ratings {
		out = append(out, v == 1)
	}
	return out
}

// printDifferences prints how far apart the numbers of two raters are; of two trials that
// cannot be told.
func printDifferences(w io.Writer, pair string, a, b []float64) error {
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
