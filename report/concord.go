package report

import (
	"io"
	"time"

	"steadfall/scoring"
)

// ConcordPage is how well raters agree.
type ConcordPage struct {
	Squad     string
	Invented  bool
	Made      time.Time
	Tool      string
	Checklist string
	Concord   scoring.Concord
	Speech    Speech
}

// WriteConcord writes the page on how well raters agree with one another and the tool.
func WriteConcord(w io.Writer, p ConcordPage) error {
	return render(w, p.Speech, "concord.html", struct {
		shell
		Page ConcordPage
	}{newShell(p.Speech, p.Speech.Say("Agreement of raters: %s", p.Squad), p.Invented, p.Made, p.Tool, Frame{}), p})
}
