package main

import (
	"fmt"
	"io"
	"os"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/internal/pipeline"
	"steadfall/scoring"
)

func newChecklist() *cobra.Command {
	return group("checklist", "list, show or check checklists", newChecklistList(), newChecklistShow(), newChecklistValidate())
}

func newChecklistList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "list the bundled checklists", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return listChecklists(cmd.OutOrStdout()) },
	}
}

func listChecklists(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	for _, n := range scoring.Names() {
		c, err := scoring.Load(n)
		if err != nil {
			return err
		}
		fmt.Fprintf(t, "%s\t%d items\t%s\n", n, len(c.Items), c.Title)
	}
	return t.Flush()
}

func newChecklistShow() *cobra.Command {
	return &cobra.Command{
		Use: "show NAME", Short: "print a bundled checklist, to read or to start your own from", Args: oneArg("checklist"),
		RunE: func(cmd *cobra.Command, args []string) error {
			data, err := scoring.Bundled(args[0])
			if err != nil {
				return err
			}
			_, err = cmd.OutOrStdout().Write(data)
			return err
		},
	}
}

func newChecklistValidate() *cobra.Command {
	return &cobra.Command{
		Use: "validate FILE.yaml", Short: "check a checklist of your own", Args: oneArg("file"),
		RunE: func(cmd *cobra.Command, args []string) error { return validateChecklist(cmd.OutOrStdout(), args[0]) },
	}
}

func validateChecklist(w io.Writer, name string) error {
	if _, err := os.Stat(name); err != nil {
		return fmt.Errorf("%q cannot be read; check the name and the folder", name)
	}
	c, err := pipeline.LoadChecklist(name)
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "%s: good, %d items\n", name, len(c.Items))
	return nil
}
