package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/scoring"
)

// trialsOptions are how joined trials are printed.
type trialsOptions struct {
	asJSON bool
}

func newTrials() *cobra.Command {
	var o trialsOptions
	cmd := &cobra.Command{
		Use:   "trials RESULT.json RESULT.json ...",
		Short: "join the results of several trials of one task",
		Long: "Join the results of several trials of one task: " + scoring.TrialsRule + `.
Jump heights are summed up by task: the best and the mean, and what a countermovement adds
to a squat jump.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) < 2 {
				return wrong(cmd, "name at least two results made by steadfall score --json")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args) },
	}
	cmd.Flags().BoolVar(&o.asJSON, "json", false, "print JSON")
	return cmd
}

func (o trialsOptions) run(cmd *cobra.Command, names []string) error {
	results, err := readResults(names)
	if err != nil {
		return err
	}
	if err := scoring.OneKind(results, names, true); err != nil {
		return err
	}
	t, err := joined(results)
	if err != nil {
		return err
	}
	if o.asJSON {
		return printJSON(cmd.OutOrStdout(), t)
	}
	return printTrials(cmd.OutOrStdout(), t)
}

// joined joins the scores and the jump heights of several results.
func joined(results []scoring.Result) (scoring.Together, error) {
	var scores []scoring.Score
	for _, r := range results {
		scores = append(scores, r.Score)
	}
	t, err := scoring.Join(scores)
	if err != nil {
		return t, err
	}
	t.Jumps = scoring.SummariseJumps(results)
	return t, nil
}

func printTrials(w io.Writer, all scoring.Together) error {
	fmt.Fprintf(w, "%s: %.1f ± %.1f errors, the mean of %d trials\n", all.Checklist, all.Mean, all.SD, all.Trials)
	printJumps(w, all.Jumps)
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	for _, it := range all.Items {
		word := "no"
		if it.Shown {
			word = "shown"
		}
		fmt.Fprintf(t, "  %s\t%s\t%s\tsure in %d of %d seen\n", word, it.ID, it.Side, it.Error, it.Seen)
	}
	return t.Flush()
}

func printJumps(w io.Writer, all []scoring.JumpSummary) {
	for _, s := range all {
		fmt.Fprintf(w, "%s: ", s.Task)
		if s.Trials > 0 {
			fmt.Fprintf(w, "best %.1f ± %.1f cm, mean %.1f ± %.1f cm of %d", s.BestCM, s.BestSD, s.MeanCM, s.MeanSD, s.Trials)
		} else {
			fmt.Fprint(w, "none that counts")
		}
		if s.Invalid > 0 {
			fmt.Fprintf(w, "; %d invalid left out", s.Invalid)
		}
		fmt.Fprintln(w)
	}
	if ratio, sd, ok := scoring.StretchGain(all); ok {
		fmt.Fprintf(w, "countermovement over squat jump: %.2f ± %.2f\n", ratio, sd)
	}
}
