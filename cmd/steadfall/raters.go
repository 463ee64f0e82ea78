package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/bounded"
	"steadfall/internal/pipeline"
	"steadfall/internal/safefile"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/locale"
	"steadfall/report/raters"
	"steadfall/scoring"
)

func newRaters() *cobra.Command {
	cmd := group("raters", "two people score the same trials blind: sheet, take, agreement", newRatersSheet(), newRatersTake(), newRatersAgreement())
	archiveFlag(cmd)
	return cmd
}

var sheetHeader = []string{"trial", "checklist", "item", "side", "the error", "answer"}

func newRatersSheet() *cobra.Command {
	var s archive.Session
	var checklist string
	var seed uint64
	cmd := &cobra.Command{
		Use: "sheet FOLDER [--date DATE] [--checklist NAME]", Short: "write a sheet and the clips of a session for somebody to score blind", Args: oneArg("folder"),
		Long: `Write a sheet (CSV) and copies of the clips of a session, under names that tell nothing,
for somebody to score without knowing whose trial it is or what others found. Each rater
fills in a copy: yes where the error is shown, no where it is not, unseen where it cannot
be seen. Give each rater another --seed, so that they meet the trials in another order.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			list, err := pipeline.LoadChecklist(checklist)
			if err != nil {
				return err
			}
			feet := 2
			if list.Feet == scoring.OneFoot {
				feet = 1
			}
			return with(cmd, func(a *archive.Archive) error {
				found, err := a.SessionOn(cmd.Context(), s.Date, s.Title)
				if err != nil {
					return err
				}
				trials, err := a.BlindTrials(cmd.Context(), found.ID, feet, seed)
				if err != nil {
					return err
				}
				if len(trials) == 0 {
					return fmt.Errorf("the session of %s has no trial on %s", s.Date, map[int]string{1: "one foot", 2: "two feet"}[feet])
				}
				return writeSheet(cmd, trials, list, args[0])
			})
		},
	}
	sessionFlags(cmd, &s)
	cmd.Flags().StringVar(&checklist, "checklist", scoring.Default(2), "bundled `NAME` or a .yaml file; says which trials, on two feet or one")
	cmd.Flags().Uint64Var(&seed, "seed", 1, "another `NUMBER` gives another order")
	return cmd
}

func writeSheet(cmd *cobra.Command, trials []archive.Blind, list scoring.Checklist, dir string) error {
	name := filepath.Join(dir, "sheet.csv")
	if err := archive.NotOwn(name); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("the folder %q cannot be made; choose another", dir)
	}
	if _, err := os.Stat(name); err == nil {
		return fmt.Errorf("%q is there already and may hold answers; choose another folder", name)
	}
	rows := [][]string{sheetHeader}
	for _, b := range trials {
		for _, it := range list.Items {
			for _, side := range sidesOf(it, b.Trial.Limb) {
				rows = append(rows, []string{b.Trial.Blind, list.Name, it.ID, string(side), it.Text, ""})
			}
		}
		for _, c := range b.Clips {
			to := filepath.Join(dir, fmt.Sprintf("%s-%s%s", b.Trial.Blind, c.View, filepath.Ext(c.File)))
			if err := safefile.Copy(to, c.File); err != nil {
				return err
			}
			wrote(cmd, to)
		}
	}
	err := writeQuietly(cmd.Context(), name, func(w io.Writer) error { return csv.NewWriter(w).WriteAll(rows) })
	if err == nil {
		fmt.Fprintf(cmd.OutOrStdout(), "wrote %s: %d trials; fill in yes, no or unseen and give it back with steadfall raters take\n", name, len(trials))
	}
	return err
}

// sidesOf are the legs that an item is asked of.
func sidesOf(it scoring.Item, limb kinematics.Side) []kinematics.Side {
	switch {
	case it.Side != "each" && it.Side != "either":
		return []kinematics.Side{kinematics.Both}
	case limb != kinematics.Both:
		return []kinematics.Side{limb}
	}
	return []kinematics.Side{kinematics.Left, kinematics.Right}
}

func newRatersTake() *cobra.Command {
	var rater string
	cmd := &cobra.Command{
		Use: "take SHEET.csv --rater CODE", Short: "take a filled-in sheet into the archive", Args: oneArg("sheet"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if rater == "" {
				return wrong(cmd, "say whose answers these are with --rater")
			}
			f, err := os.Open(args[0])
			if err != nil {
				return fmt.Errorf("the sheet %q cannot be read; check the name and the folder", args[0])
			}
			defer f.Close()
			answers, open, err := readSheet(f, rater)
			if err != nil {
				return fmt.Errorf("%q: %w", args[0], err)
			}
			return with(cmd, func(a *archive.Archive) error {
				if err := a.Rate(cmd.Context(), answers); err != nil {
					return err
				}
				fmt.Fprintf(cmd.OutOrStdout(), "took %d answers of %s; %d were left open\n", len(answers), rater, open)
				return nil
			})
		},
	}
	cmd.Flags().StringVar(&rater, "rater", "", "`CODE` of who filled it in")
	return cmd
}

// readSheet reads the answers of a sheet and how many were left open.
func readSheet(in io.Reader, rater string) (answers []archive.Rating, open int, err error) {
	rows, err := csv.NewReader(bounded.Table(in)).ReadAll()
	if err != nil || len(rows) < 2 || !slices.Equal(rows[0], sheetHeader) {
		return nil, 0, errors.New("this is not a sheet made by steadfall raters sheet; keep its first line and its columns as they are")
	}
	yes, no := true, false
	for n, row := range rows[1:] {
		r := archive.Rating{Blind: row[0], Rater: rater, Checklist: row[1], Item: row[2], Side: kinematics.Side(row[3])}
		switch strings.ToLower(strings.TrimSpace(row[5])) {
		case "":
			open++
			continue
		case "yes":
			r.Error = &yes
		case "no":
			r.Error = &no
		case "unseen":
		default:
			return nil, 0, fmt.Errorf("line %d: the answer must be yes, no, unseen or left empty, not %q", n+2, row[5])
		}
		answers = append(answers, r)
	}
	if len(answers) == 0 {
		return nil, open, errors.New("the sheet has no answer yet")
	}
	return answers, open, nil
}

func newRatersAgreement() *cobra.Command {
	var checklist, html string
	var loc locale.Locale
	cmd := &cobra.Command{
		Use: "agreement [--checklist NAME] [-o PAGE.html]", Short: "tell how well the raters agree with one another and with the tool", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := checkOut(cmd, "-o", html, pageOrDash); err != nil {
				return err
			}
			return with(cmd, func(a *archive.Archive) error {
				people, err := a.Ratings(cmd.Context(), checklist)
				if err != nil {
					return err
				}
				tool, err := a.ToolRatings(cmd.Context(), checklist)
				if err != nil {
					return err
				}
				var answers []scoring.Answer
				for _, r := range append(people, tool...) {
					answers = append(answers, scoring.Answer{Trial: r.Blind, Rater: r.Rater, Item: r.Item, Side: r.Side, Error: r.Error})
				}
				g, err := scoring.NewRaterAgreement(answers)
				if err != nil {
					return fmt.Errorf("%w; give back two raters' sheets with steadfall raters take", err)
				}
				squad, err := a.Squad(cmd.Context())
				if err != nil {
					return err
				}
				page := raters.Page{
					About:     report.About{Squad: squad.Name, Invented: squad.Invented, Made: time.Now(), Tool: "steadfall " + version, Locale: loc},
					Checklist: checklist, Agreement: g,
				}
				if err := writeOut(cmd, html, func(w io.Writer) error { return raters.Write(w, page) }); err != nil {
					return err
				}
				printAgreement(cmd.OutOrStdout(), g)
				return nil
			})
		},
	}
	cmd.Flags().StringVar(&checklist, "checklist", scoring.Default(2), "`NAME` of the checklist that was rated by")
	cmd.Flags().StringVarP(&html, "out", "o", "", "write the page (`PAGE.html`)")
	localeFlags(cmd, &loc)
	return cmd
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
