package raters_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"steadfall/internal/testkit/pagetest"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/raters"
	"steadfall/scoring"
)

func TestRatersPage(t *testing.T) {
	yes, no := true, false
	var all []scoring.Answer
	for i, pair := range [][2]*bool{{&yes, &yes}, {&no, &yes}, {&no, &no}, {&yes, &no}} {
		for r, rater := range []string{"R1", pagetest.Hostile} {
			all = append(all, scoring.Answer{Trial: string(rune('a' + i)), Rater: rater, Item: "stiff", Side: kinematics.Left, Error: pair[r]})
		}
	}
	c, err := scoring.NewRaterAgreement(all)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := raters.Write(&b, raters.Page{About: report.About{Squad: "Larkfield Lanterns", Made: time.Now(), Tool: "steadfall test"}, Checklist: "two-foot-landing", Agreement: c}); err != nil {
		t.Fatal(err)
	}
	var text string
	pagetest.InBrowser(t, b.Bytes(), chromedp.Text("main", &text))
	if !strings.Contains(text, "0.00") || !strings.Contains(text, pagetest.Hostile) {
		t.Errorf("the page says %.300s", text)
	}
}
