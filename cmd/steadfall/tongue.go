package main

import (
	"github.com/spf13/cobra"

	"steadfall/report"
)

// speechFlags are the language and the units of the pages that a command writes.
func speechFlags(cmd *cobra.Command, s *report.Speech) {
	cmd.Flags().Var(&tongue{s}, "language", "`LANGUAGE` of the page: en or de")
	cmd.Flags().BoolVar(&s.Imperial, "imperial", false, "lengths on the page in inches")
}

// tongue is the flag for the language of a page.
type tongue struct{ of *report.Speech }

func (t *tongue) Set(name string) (err error) {
	t.of.Language, err = report.ParseLanguage(name)
	return err
}

func (t *tongue) String() string { return "" }
func (t *tongue) Type() string   { return "LANGUAGE" }
