package main

import (
	"github.com/spf13/cobra"

	"steadfall/report/locale"
)

// localeFlags are the language and the units of the pages that a command writes.
func localeFlags(cmd *cobra.Command, l *locale.Locale) {
	cmd.Flags().Var(&languageFlag{l}, "language", "`LANGUAGE` of the page: en or de")
	cmd.Flags().BoolVar(&l.Imperial, "imperial", false, "lengths on the page in inches")
}

// languageFlag is the flag for the language of a page.
type languageFlag struct{ of *locale.Locale }

func (t *languageFlag) Set(name string) (err error) {
	t.of.Language, err = locale.Parse(name)
	return err
}

func (t *languageFlag) String() string { return "" }
func (t *languageFlag) Type() string   { return "LANGUAGE" }
