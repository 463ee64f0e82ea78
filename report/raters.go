package report

import (
	"io"
	"time"

	"steadfall/report/locale"
	"steadfall/scoring"
)

// RatersPage is how well raters agree.
type RatersPage struct {
	Squad     string
	Invented  bool
	Made      time.Time
	Tool      string
	Checklist string
	Agreement scoring.RaterAgreement
	Locale    locale.Locale
}

// WriteRaters writes the page on how well raters agree with one another and the tool.
func WriteRaters(w io.Writer, p RatersPage) error {
	return render(w, p.Locale, "raters.html", struct {
		shell
		Page RatersPage
	}{newShell(p.Locale, p.Locale.Say("Agreement of raters: %s", p.Squad), p.Invented, p.Made, p.Tool, Frame{}), p})
}
