package main

import "steadfall/report"

// tongue is the flag for the language of a page.
type tongue struct{ of *report.Speech }

func (t *tongue) Set(name string) (err error) {
	t.of.Language, err = report.ParseLanguage(name)
	return err
}

func (t *tongue) String() string { return "" }
func (t *tongue) Type() string   { return "LANGUAGE" }
