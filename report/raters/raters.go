// Package raters is the page on how well raters agree.
package raters

import (
	_ "embed"
	"io"

	"steadfall/report"
	"steadfall/report/locale"
	"steadfall/scoring"
)

//go:embed raters.html
var ratersHTML string

var banner = locale.Message("This is a demo. The squad and everybody in it are invented.")

// Page is how well raters agree.
type Page struct {
	report.About
	Checklist string
	Agreement scoring.RaterAgreement
}

// Write writes the page on how well raters agree with one another and the tool.
func Write(w io.Writer, p Page) error {
	return report.Render(w, p.Locale, ratersHTML, struct {
		report.Head
		Page Page
	}{p.Head(p.Locale.Say("Agreement of raters: %s", p.Squad), banner), p})
}
