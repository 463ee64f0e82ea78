package main

import (
	"github.com/spf13/cobra"
)

// group is a command that only holds others.
func group(use, short string, subs ...*cobra.Command) *cobra.Command {
	cmd := &cobra.Command{
		Use: use, Short: short, Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			var names []string
			for _, s := range cmd.Commands() {
				if !s.Hidden {
					names = append(names, s.Name())
				}
			}
			return wrong(cmd, "say %s", orList(names))
		},
	}
	cmd.AddCommand(subs...)
	return cmd
}
