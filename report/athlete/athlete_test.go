package athlete_test

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"steadfall/internal/testkit/pagetest"
	"steadfall/report/athlete"
	"steadfall/report/locale"
	"steadfall/report/squad"
	"steadfall/scoring"
)

func TestPage(t *testing.T) {
	pagetest.Page{Name: "athlete", Write: func(w io.Writer, loc locale.Locale) error {
		p := athletePage()
		p.Locale = loc
		return athlete.Write(w, p)
	}}.Test(t)
}

// An athlete's page draws what went on over the sessions and says what changed for real.
func TestAthletePage(t *testing.T) {
	var b bytes.Buffer
	err := athlete.Write(&b, athletePage())
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(b.Bytes(), []byte("<img src=x")) {
		t.Error("a pagetest.Hostile name became markup")
	}
	var text string
	var drawn int
	pagetest.InBrowser(t, b.Bytes(), chromedp.Text("main", &text), chromedp.Evaluate(`document.querySelectorAll(".drawing svg").length`, &drawn))
	if drawn != 2 {
		t.Errorf("%d charts, want 2", drawn)
	}
	// 18° less; each session ±2.0 of its own and ±0.1 of spread: 1.96·√2·2.0 = 5.6 is noise.
	for _, want := range []string{"knee furthest in, contact to still, front view (left leg): −18.0 ± 2.8° since 2026-09-01 (smallest change that is not noise: 5.6°)", "Push your knees out."} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if strings.Contains(text, "hips sink from contact to the deepest point: ") {
		t.Error("a change within noise is called real")
	}
}

func athletePage() athlete.Page {
	return athlete.Page{
		About: pagetest.About(), Code: "Birch", Name: pagetest.Hostile, Row: squad.Row{
			Code: "Birch", Name: pagetest.Hostile, LastSeen: "2026-09-08", Trials: 9, Error: "the knee falls inside the foot", ErrorIn: 2, ErrorOf: 3, Cue: "Push your knees out.",
			Standing: scoring.Standing{
				Step: "two-foot-drop", Title: "Two-foot drop and hold", Verdict: scoring.NotYet,
				Because: scoring.Sentences{{Words: "done in %d of %s", Args: []any{1, scoring.Sentence{Words: "%d sessions", Args: []any{2}}}}},
			},
		},
		Progress: pagetest.Season(), Decided: []athlete.DecisionRow{{Date: "2026-09-09", Step: "One-foot drop and hold", Told: "ready", Reason: pagetest.Hostile, By: "Coach"}},
	}
}
