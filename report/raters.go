package report

import (
	"io"
	"time"

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
	Speech    Speech
}

// WriteRaters writes the page on how well raters agree with one another and the tool.
func WriteRaters(w io.Writer, p RatersPage) error {
	return render(w, p.Speech, "raters.html", struct {
		shell
		Page RatersPage
	}{newShell(p.Speech, p.Speech.Say("Agreement of raters: %s", p.Squad), p.Invented, p.Made, p.Tool, Frame{}), p})
}
