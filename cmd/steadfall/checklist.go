package main

import (
	"fmt"
	"os"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/internal/pipeline"
	"steadfall/scoring"
)

func newChecklist() *cobra.Command {
	return group("checklist", "list, show or check checklists",
		&cobra.Command{
			Use:   "list",
			Short: "list the bundled checklists",
			Args:  noArgs,
			RunE: func(cmd *cobra.Command, _ []string) error {
				t := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 8, 2, ' ', 0)
				for _, n := range scoring.Names() {
					c, err := scoring.Load(n)
					if err != nil {
						return err
					}
					fmt.Fprintf(t, "%s\t%d items\t%s\n", n, len(c.Items), c.Title)
				}
				return t.Flush()
			},
		},
		&cobra.Command{
			Use:   "show NAME",
			Short: "print a bundled checklist, to read or to start your own from",
			Args:  oneArg("checklist"),
			RunE: func(cmd *cobra.Command, args []string) error {
				data, err := scoring.Bundled(args[0])
				if err != nil {
					return err
				}
				_, err = cmd.OutOrStdout().Write(data)
				return err
			},
		},
		&cobra.Command{
			Use:   "validate FILE.yaml",
			Short: "check a checklist of your own",
			Args:  oneArg("file"),
			RunE: func(cmd *cobra.Command, args []string) error {
				if _, err := os.Stat(args[0]); err != nil {
					return fmt.Errorf("%q cannot be read; check the name and the folder", args[0])
				}
				c, err := pipeline.LoadChecklist(args[0])
				if err != nil {
					return err
				}
				fmt.Fprintf(cmd.OutOrStdout(), "%s: good, %d items\n", args[0], len(c.Items))
				return nil
			},
		},
	)
}
