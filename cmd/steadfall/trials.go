package main

import (
	"encoding/json"
	"fmt"
	"os"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/scoring"
)

func newTrials() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "trials RESULT.json RESULT.json ...",
		Short: "join the results of several trials of one task",
		Long:  "Join the results of several trials of one task: " + scoring.TrialsRule + ".",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) < 2 {
				return wrong(cmd, "name at least two results made by steadfall score --json")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			var scores []scoring.Score
			for _, name := range args {
				data, err := os.ReadFile(name)
				if err != nil {
					return fmt.Errorf("the result %q cannot be read; check the name and the folder", name)
				}
				var r scoring.Result
				if err := json.Unmarshal(data, &r); err != nil || r.Schema != scoring.SchemaVersion {
					return fmt.Errorf("%q is not a result of this version; make it with steadfall score --json", name)
				}
				scores = append(scores, r.Score)
			}
			t, err := scoring.Join(scores)
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			if asJSON {
				e := json.NewEncoder(out)
				e.SetIndent("", " ")
				return e.Encode(t)
			}
			fmt.Fprintf(out, "%s: %.1f ± %.1f errors, the mean of %d trials\n", t.Checklist, t.Mean, t.SD, t.Trials)
			w := tabwriter.NewWriter(out, 0, 8, 2, ' ', 0)
			for _, it := range t.Items {
				word := "no"
				if it.Shown {
					word = "shown"
				}
				fmt.Fprintf(w, "  %s\t%s\t%s\tsure in %d of %d seen\n", word, it.ID, it.Side, it.Error, it.Seen)
			}
			return w.Flush()
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}
