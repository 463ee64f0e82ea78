package main

import (
	"github.com/spf13/cobra"

	"steadfall/internal/beside"
	"steadfall/internal/worker"
)

// newWorker is the child process that the desk starts for each clip. It is not for people.
func newWorker() *cobra.Command {
	return &cobra.Command{
		Use: "worker", Short: "read one clip for the desk (not for people)", Args: noArgs, Hidden: true,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := beside.ReadClips(); err != nil {
				return err
			}
			return worker.Child(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout())
		},
	}
}
