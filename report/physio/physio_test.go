package physio_test

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"golang.org/x/text/language"

	"steadfall/internal/simulated"
	"steadfall/internal/testkit/pagetest"
	"steadfall/internal/testkit/scored"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/locale"
	"steadfall/report/physio"
	"steadfall/scoring"
)

// physioPage is two trials of the invented athlete Birch: one knee that falls in, and one
// landing before, for the overlay.
func physioPage(t *testing.T) physio.Page {
	t.Helper()
	landing := func(left float64) scored.Landing {
		return scored.Simulate(t, simulated.Landing{
			View: kinematics.Front, FPS: 60, StatureCM: 175, PxPerCM: 4.2, BoxCM: 30, DepthCM: 20, HoldS: 2.5, SD: 1,
			FPPADeg: map[kinematics.Side]float64{kinematics.Left: left, kinematics.Right: 3},
		}, nil)
	}
	first, second := landing(26), landing(4)
	trial := func(name string, l scored.Landing) physio.Trial {
		return physio.Trial{
			Name: scoring.Sentence{Words: name}, Limb: kinematics.Both, Result: l.Result, Poses: physio.NewPostures(l.Track, l.Result.Views[0]),
			Pictures: []report.Picture{{View: kinematics.Front, Moment: "deepest", Frame: 90, TimeS: 1.5, Data: []byte{0xff, 0xd8, 0xff, 0xd9}, Caption: pagetest.Hostile}},
		}
	}
	one, two := trial("09:00 first", first), trial("09:01 second", second)
	one.Placed, one.Rated, one.Signed, one.Before = []string{"Coach"}, []string{"Physio"}, "Coach, 2026-09-08", two.Poses
	return physio.Page{
		About: pagetest.About(), Code: "Birch", Name: pagetest.Hostile, Date: "2026-09-15",
		Task: kinematics.DropLanding, Trials: []physio.Trial{one, two}, Progress: pagetest.Season(), Others: []report.Link{{Date: "2026-09-08", Words: "drop landing", To: "#other"}},
	}
}

func TestPage(t *testing.T) {
	pagetest.Page{
		Name: "physio", Also: map[string]locale.Locale{"physio-de-inches": {Language: language.German, Imperial: true}},
		Write: func(w io.Writer, loc locale.Locale) error {
			p := physioPage(t)
			p.Locale = loc
			return physio.Write(w, p)
		},
	}.Test(t)
}

// The physio's page draws every trial and their mean, lays the landings over one another,
// and says who had a hand in them.
func TestPhysioPage(t *testing.T) {
	var b bytes.Buffer
	if err := physio.Write(&b, physioPage(t)); err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(b.Bytes(), []byte("<img src=x")) {
		t.Error("a pagetest.Hostile name became markup")
	}
	text := pagetest.Content(t, b.Bytes())
	for _, want := range []string{
		"the knee falls inside the foot (left, 1 of 2)",
		"Signed by Coach, 2026-09-08. Points by hand: Coach. Judged by Physio.",
		"On the session before (grey, dashed), from the front, contact on contact.",
		"The right leg (dashed) mirrored onto the left",
		// ±2.0 of its own and ±0.1 of spread a session: 1.96·√2·2.0 = 5.6 is noise.
		"SDC 5.6",
		"change −9.0 ± 2.8, real",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	pagetest.InBrowser(t, b.Bytes())
}
