package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/pipeline"
	"steadfall/internal/present"
	"steadfall/internal/ratings"
	"steadfall/internal/safefile"
	"steadfall/report/locale"
	"steadfall/report/raters"
	"steadfall/scoring"
)

func newRaters() *cobra.Command {
	cmd := group("raters", "two people score the same trials blind: sheet, take, agreement", newRatersSheet(), newRatersTake(), newRatersAgreement())
	archiveFlag(cmd)
	return cmd
}

// blindOptions are what somebody is given to score blind.
type blindOptions struct {
	session   archive.Session
	checklist string
	seed      uint64
}

func newRatersSheet() *cobra.Command {
	var o blindOptions
	cmd := &cobra.Command{
		Use: "sheet FOLDER [--date DATE] [--checklist NAME]", Short: "write a sheet and the clips of a session for somebody to score blind", Args: oneArg("folder"),
		Long: `Write a sheet (CSV) and copies of the clips of a session, under names that tell nothing,
for somebody to score without knowing whose trial it is or what others found. Each rater
fills in a copy: yes where the error is shown, no where it is not, unseen where it cannot
be seen. Give each rater another --seed, so that they meet the trials in another order.`,
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args[0]) },
	}
	sessionFlags(cmd, &o.session)
	cmd.Flags().StringVar(&o.checklist, "checklist", scoring.Default(2), "bundled `NAME` or a .yaml file; says which trials, on two feet or one")
	cmd.Flags().Uint64Var(&o.seed, "seed", 1, "another `NUMBER` gives another order")
	return cmd
}

func (o blindOptions) run(cmd *cobra.Command, dir string) error {
	list, err := pipeline.LoadChecklist(o.checklist)
	if err != nil {
		return err
	}
	return with(cmd, func(a *archive.Archive) error {
		trials, err := o.trials(cmd, a, list)
		if err != nil {
			return err
		}
		return writeSheet(cmd, trials, list, dir)
	})
}

// trials are those of the session on as many feet as the checklist is for.
func (o blindOptions) trials(cmd *cobra.Command, a *archive.Archive, list scoring.Checklist) ([]archive.Blind, error) {
	feet, words := 2, "two feet"
	if list.Feet == scoring.OneFoot {
		feet, words = 1, "one foot"
	}
	found, err := a.SessionOn(cmd.Context(), o.session.Date, o.session.Title)
	if err != nil {
		return nil, err
	}
	trials, err := a.BlindTrials(cmd.Context(), found.ID, feet, o.seed)
	if err == nil && len(trials) == 0 {
		return nil, fmt.Errorf("the session of %s has no trial on %s", o.session.Date, words)
	}
	return trials, err
}

// writeSheet writes the sheet of trials into a folder, and their clips beside it.
func writeSheet(cmd *cobra.Command, trials []archive.Blind, list scoring.Checklist, dir string) error {
	name := filepath.Join(dir, "sheet.csv")
	if err := sheetFolder(dir, name); err != nil {
		return err
	}
	for _, b := range trials {
		if err := copyBlind(cmd, b, dir); err != nil {
			return err
		}
	}
	if err := writeQuietly(cmd.Context(), name, func(w io.Writer) error { return ratings.WriteSheet(w, trials, list) }); err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "wrote %s: %d trials; fill in yes, no or unseen and give it back with steadfall raters take\n", name, len(trials))
	return nil
}

// sheetFolder makes the folder of a sheet, and refuses one that holds a sheet already.
func sheetFolder(dir, name string) error {
	if err := archive.NotOwn(name); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("the folder %q cannot be made; choose another", dir)
	}
	if _, err := os.Stat(name); err == nil {
		return fmt.Errorf("%q is there already and may hold answers; choose another folder", name)
	}
	return nil
}

// copyBlind copies the clips of a trial under its blind name.
func copyBlind(cmd *cobra.Command, b archive.Blind, dir string) error {
	for _, c := range b.Clips {
		to := filepath.Join(dir, fmt.Sprintf("%s-%s%s", b.Trial.Blind, c.View, filepath.Ext(c.File)))
		if err := safefile.Copy(to, c.File); err != nil {
			return err
		}
		wrote(cmd, to)
	}
	return nil
}

func newRatersTake() *cobra.Command {
	var rater string
	cmd := &cobra.Command{
		Use: "take SHEET.csv --rater CODE", Short: "take a filled-in sheet into the archive", Args: oneArg("sheet"),
		RunE: func(cmd *cobra.Command, args []string) error { return takeSheet(cmd, args[0], rater) },
	}
	cmd.Flags().StringVar(&rater, "rater", "", "`CODE` of who filled it in")
	return cmd
}

func takeSheet(cmd *cobra.Command, name, rater string) error {
	if rater == "" {
		return wrong(cmd, "say whose answers these are with --rater")
	}
	f, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("the sheet %q cannot be read; check the name and the folder", name)
	}
	defer f.Close()
	answers, open, err := ratings.ReadSheet(f, rater)
	if err != nil {
		return fmt.Errorf("%q: %w", name, err)
	}
	return with(cmd, func(a *archive.Archive) error {
		if err := a.Rate(cmd.Context(), answers); err != nil {
			return err
		}
		fmt.Fprintf(cmd.OutOrStdout(), "took %d answers of %s; %d were left open\n", len(answers), rater, open)
		return nil
	})
}

// ratersOptions are what is told of the raters: by which checklist, and the page, empty for none.
type ratersOptions struct {
	checklist, html string
	locale          locale.Locale
}

func newRatersAgreement() *cobra.Command {
	var o ratersOptions
	cmd := &cobra.Command{
		Use: "agreement [--checklist NAME] [-o PAGE.html]", Short: "tell how well the raters agree with one another and with the tool", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd) },
	}
	cmd.Flags().StringVar(&o.checklist, "checklist", scoring.Default(2), "`NAME` of the checklist that was rated by")
	cmd.Flags().StringVarP(&o.html, "out", "o", "", "write the page (`PAGE.html`)")
	localeFlags(cmd, &o.locale)
	return cmd
}

func (o ratersOptions) run(cmd *cobra.Command) error {
	if err := checkOut(cmd, "-o", o.html, pageOrDash); err != nil {
		return err
	}
	return with(cmd, func(a *archive.Archive) error {
		page, err := present.Raters(cmd.Context(), a, o.checklist, "steadfall "+version)
		if err != nil {
			return err
		}
		page.Locale = o.locale
		if err := writeOut(cmd, o.html, func(w io.Writer) error { return raters.Write(w, page) }); err != nil {
			return err
		}
		printAgreement(cmd.OutOrStdout(), page.Agreement)
		return nil
	})
}

func printAgreement(w io.Writer, c scoring.RaterAgreement) {
	for _, p := range c.Pairs {
		fmt.Fprintf(w, "%s and %s, %d trials\n", p.A, p.B, p.Trials)
		if t := p.Totals; t != nil {
			fmt.Fprintf(w, "  errors in a trial: ICC(2,1) %.2f (95 %% interval %.2f to %.2f), smallest change that is not noise %.1f; mean difference %+.1f, 19 in 20 between %+.1f and %+.1f\n",
				t.ICC.TwoSingle, t.ICC.TwoSingleLow, t.ICC.TwoSingleHigh, t.Detectable, t.Limits.Bias, t.Limits.Low, t.Limits.High)
		}
		tw := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
		for _, it := range p.Items {
			fmt.Fprintf(tw, "  %s\tsame in %.0f %% of %d\tkappa %s\tPABAK %.2f\n", it.Item, 100*it.Observed, it.N, kappaWords(it.Kappa), it.PABAK)
		}
		tw.Flush()
	}
}
