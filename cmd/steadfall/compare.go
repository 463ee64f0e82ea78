package main

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// compareOptions are the result files of both sessions.
type compareOptions struct {
	then, now []string
}

func newCompare() *cobra.Command {
	var o compareOptions
	cmd := &cobra.Command{
		Use:   "compare --then A.json,B.json --now C.json,D.json",
		Short: "tell whether an athlete changed between two sessions",
		Long: `Tell whether an athlete changed between two sessions: each measure now minus then, the
mean of each session's trials, with its ±, beside the smallest change that is not noise
(1.96·√2 of the standard error of a session). The trials must be of one athlete and one
task.`,
		Example: "  steadfall compare --then may-1.json,may-2.json,may-3.json --now june-1.json,june-2.json",
		Args:    noArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return o.run(cmd) },
	}
	cmd.Flags().StringSliceVar(&o.then, "then", nil, "results of the earlier session (`FILES`)")
	cmd.Flags().StringSliceVar(&o.now, "now", nil, "results of the later session (`FILES`)")
	return cmd
}

func (o compareOptions) run(cmd *cobra.Command) error {
	if len(o.then) == 0 || len(o.now) == 0 {
		return wrong(cmd, "name the results of both sessions with --then and --now")
	}
	then, err := readResults(o.then)
	if err != nil {
		return err
	}
	now, err := readResults(o.now)
	if err != nil {
		return err
	}
	if err := scoring.OneKind(slices.Concat(then, now), slices.Concat(o.then, o.now), false); err != nil {
		return err
	}
	return printChanges(cmd.OutOrStdout(), then, now)
}

// printChanges prints a line for each measure that both sessions have.
func printChanges(w io.Writer, then, now []scoring.Result) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "measure\tleg\tchange\tsmallest that is not noise\tverdict")
	lines := 0
	for _, m := range then[0].Measures {
		a, b := same(then, m), same(now, m)
		if len(a) == 0 || len(b) == 0 || m.YesNo() {
			continue
		}
		c := scoring.NewChange(a, b)
		leg := ""
		if m.Side != kinematics.Both {
			leg = string(m.Side)
		}
		fmt.Fprintf(t, "%s\t%s\t%+.2f ± %.2f %s\t%.2f\t%s\n", m.Name, leg, c.Value, c.SD, m.Unit, c.Detectable, c.Verdict.Words())
		lines++
	}
	if lines == 0 {
		return fmt.Errorf("the sessions have no measure in common; were they filmed from the same side?")
	}
	return t.Flush()
}

// same is a measure in each of the results that has it; a lower bound is left out.
func same(rs []scoring.Result, m kinematics.Measure) []kinematics.Measure {
	var out []kinematics.Measure
	for _, r := range rs {
		for _, k := range r.Measures {
			if k.Name == m.Name && k.Side == m.Side && k.View == m.View && !k.AtLeast {
				out = append(out, k)
			}
		}
	}
	return out
}
