package landing_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"steadfall/internal/simulated"
	"steadfall/internal/testkit/pagetest"
	"steadfall/internal/testkit/scored"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/landing"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// trialPage is the report of a simulated landing whose clip has a pagetest.Hostile name.
func trialPage(t testing.TB) landing.Page {
	t.Helper()
	sim := simulated.Landing{
		View: kinematics.Front, FPS: 60, StatureCM: 175, PxPerCM: 4.2, BoxCM: 30, DepthCM: 20, HoldS: 2.5, SD: 1,
		FPPADeg: map[kinematics.Side]float64{kinematics.Left: 16, kinematics.Right: 3},
	}
	r := scored.Simulate(t, sim, func(tr kinematics.Track) {
		for i := 60; i < 75; i++ {
			tr.Points["right_knee"][i] = kinematics.Unseen() // a gap, which charts must show as one
		}
	}).Result
	r.Views[0].Clip = pagetest.Hostile
	return landing.Page{
		Who: "</script><script>document.title='taken'</script>", Subtitle: scoring.Sentence{Words: pagetest.Hostile}, About: report.About{Made: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)},
		Result: r, Pictures: []report.Picture{{View: kinematics.Front, Moment: "contact", Data: []byte{0xff, 0xd8, 0xff, 0xd9}, Caption: pagetest.Hostile}},
	}
}

func TestPage(t *testing.T) {
	pagetest.Page{Name: "landing", Write: func(w io.Writer, loc locale.Locale) error {
		p := trialPage(t)
		p.Locale = loc
		return landing.Write(w, p)
	}}.Test(t)
}

func page(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := landing.Write(&b, trialPage(t)); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The inlined library is the pinned build, byte for byte: echarts 5.4.3,
// dist/echarts.common.min.js of the npm package. It must hold nothing that would end
// the script element it stands in.
func TestPinnedChartLibrary(t *testing.T) {
	data, err := os.ReadFile("../assets/echarts/echarts.common.min.js")
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(data)
	if got := hex.EncodeToString(sum[:]); got != "ed137eb3637296312fe4fe7ac561b4d06db2e56d2d0590be5c31e2a5ecde57a4" {
		t.Errorf("sha256 %s", got)
	}
	for _, s := range []string{"<script", "</script", "<!--"} {
		if bytes.Contains(bytes.ToLower(data), []byte(s)) {
			t.Errorf("the library holds %q", s)
		}
	}
}

// No reference leads out of the page, and it is the same on every run.
func TestPageIsSelfContained(t *testing.T) {
	p := page(t)
	if again := page(t); !bytes.Equal(p, again) {
		t.Error("two runs gave two pages")
	}
	own, err := os.ReadFile("../assets/echarts/echarts.common.min.js")
	if err != nil {
		t.Fatal(err)
	}
	rest := bytes.Replace(p, own, nil, 1)
	if m := regexp.MustCompile(`(?i)(src|href)\s*=\s*"(?:https?:)?//[^"]*`).Find(rest); m != nil {
		t.Errorf("the page refers to %s", m)
	}
	if bytes.Contains(rest, []byte("<img src=x")) {
		t.Error("a pagetest.Hostile name became markup")
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(`\sid="([^"]+)"`).FindAllSubmatch(rest, -1) {
		if ids[string(m[1])] {
			t.Errorf("the id %s stands twice", m[1])
		}
		ids[string(m[1])] = true
	}
	for _, want := range []string{"Screening is not diagnosis", "Stop on pain", "Under 18", "What ± means", "1 sure error", "Push your knees out"} {
		if !bytes.Contains(rest, []byte(want)) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

// A report in the browser: no console message, no request, every chart drawn, pagetest.Hostile names
// shown as text.
func TestPageInABrowserWithoutNetwork(t *testing.T) {
	var title, text string
	var paths int
	pagetest.InBrowser(t, page(t), chromedp.Title(&title), chromedp.Text("main", &text),
		chromedp.Evaluate(`document.querySelectorAll(".drawing svg path").length`, &paths))
	if paths < 20 {
		t.Errorf("the charts hold %d strokes", paths)
	}
	if !strings.Contains(text, pagetest.Hostile) || title == "taken" {
		t.Error("a pagetest.Hostile name is not shown as text")
	}
}
