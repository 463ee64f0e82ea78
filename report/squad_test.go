package report_test

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/scoring"
)

func squadPage(t *testing.T) report.SquadPage {
	t.Helper()
	l, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		t.Fatal(err)
	}
	stand := func(v scoring.Earned, because scoring.Sentence, physio ...scoring.Sentence) scoring.Standing {
		return scoring.Standing{Step: "two-foot-drop", Title: "Two-foot drop and hold", Verdict: v, Because: scoring.Sentences{because}, Physio: physio}
	}
	return report.SquadPage{
		Squad: "Larkfield Lanterns", Invented: true, Made: time.Date(2026, 9, 9, 0, 0, 0, 0, time.UTC), Tool: "steadfall test", Ladder: l, Newest: "2026-09-08",
		Rows: []report.SquadRow{
			{Code: "Ash", Standing: stand(scoring.Ready, scoring.Sentence{Words: "every rule of the step is met in the last %s", Args: []any{scoring.Sentence{Words: "%d sessions", Args: []any{2}}}}), LastSeen: "2026-09-08", Trials: 6},
			{Code: "Birch", Name: hostile, Standing: stand(scoring.NotYet, scoring.Sentence{Words: "done in %d of %s", Args: []any{1, scoring.Sentence{Words: "%d sessions", Args: []any{2}}}}), LastSeen: "2026-09-08", Trials: 9, Error: "the knee falls inside the foot", ErrorIn: 2, ErrorOf: 3, Cue: "Push your knees out."},
			{Code: "Cedar", Standing: stand(scoring.Ready, scoring.Sentence{Words: "every rule of the step is met in the last %s", Args: []any{scoring.Sentence{Words: "%d sessions", Args: []any{2}}}}, scoring.Sentence{Words: "pain %d of 10 on %s", Args: []any{4, "2026-09-08"}}), LastSeen: "2026-09-08", Trials: 6},
			{Code: "Dogwood", Standing: stand(scoring.CannotSay, scoring.Sentence{Words: "%s: not asked about pain", Args: []any{"2026-09-08"}}), LastSeen: "2026-09-01", Missing: true, Absent: "=ill", Trials: 3},
			{Code: "Elm", Standing: stand(scoring.CannotSay, scoring.Sentence{Words: "%s: not asked about pain", Args: []any{"2026-09-08"}}), LastSeen: "2026-09-08", Trials: 30},
		},
		Spreads: []report.Spread{{Task: kinematics.DropLanding, Measure: "fppa_peak", Rows: []report.SpreadRow{
			{Code: "Ash", Side: kinematics.Left, Value: 3.2, SD: 2.1}, {Code: "Birch", Side: kinematics.Right, Value: 18.4, SD: 2.6}, {Code: "Elm", Side: kinematics.Left, Value: 9.9, SD: 2.2},
		}}},
	}
}

// Everybody stands in one group; pain comes before being ready, and missing before what the
// rules say. Searching and ordering work on a phone.
func TestSquadPage(t *testing.T) {
	var b bytes.Buffer
	if err := report.WriteSquad(&b, squadPage(t)); err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(b.Bytes(), []byte("<img src=x")) {
		t.Error("a hostile name became markup")
	}
	var answer, first, table string
	var left int
	inBrowser(t, b.Bytes(),
		chromedp.Text(".answer", &answer),
		chromedp.AttributeValue("a[download]", "href", &table, nil),
		chromedp.SetValue("#order", "trials"),
		chromedp.Evaluate(`order.dispatchEvent(new Event("change")), document.querySelector("ul.squad li").dataset.code`, &first),
		chromedp.SetValue("#find", "elm"),
		chromedp.Evaluate(`find.dispatchEvent(new Event("input")), [...document.querySelectorAll("ul.squad li")].filter(li => li.offsetParent).length`, &left),
	)
	if want := "1 to the physio, 1 ready, 1 cannot say, 1 working on it, 1 missing"; answer != want {
		t.Errorf("%q, want %q", answer, want)
	}
	if first != "Cedar" || left != 1 {
		t.Errorf("first %s (want the physio's group first), %d left by the search (want 1)", first, left)
	}
	if !strings.HasPrefix(table, "data:text/csv") {
		t.Errorf("the table is at %.40s", table)
	}
	var c bytes.Buffer
	if err := report.WriteSquadTable(&c, squadPage(t).Rows); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&c).ReadAll()
	if rows[4][9] != "'=ill" {
		t.Errorf("a formula stands in the table: %q", rows[4][9])
	}
	if err != nil || len(rows) != 6 || rows[3][2] != "physio" || rows[4][2] != "missing" {
		t.Errorf("%v, %v", rows, err)
	}
}

// The page for the wall tells nothing of anybody's health: who was sent to the physio stands
// among those who keep working, and who was away is not marked.
func TestWall(t *testing.T) {
	var b bytes.Buffer
	p := squadPage(t)
	p.Rows[4].Error, p.Rows[4].Cue = p.Rows[1].Error, p.Rows[1].Cue
	if err := report.WriteWall(&b, p); err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(b.Bytes(), []byte("<img src=x")) {
		t.Error("a hostile name became markup")
	}
	text := content(t, b.Bytes())
	for _, no := range []string{"physio", "pain", "ill", "missing", "cannot", "away", "Away", "Last seen"} {
		if strings.Contains(strings.ReplaceAll(text, "will", ""), no) {
			t.Errorf("the wall says %q", no)
		}
	}
	for _, want := range []string{"1 athlete ready for the next step", "Ash [mark] ready", "Cedar\n", "Push your knees out. (2 of us)"} {
		if !strings.Contains(text, want) {
			t.Errorf("the wall lacks %q:\n%s", want, text)
		}
	}
	inBrowser(t, b.Bytes())
}

// An athlete's page draws what went on over the sessions and says what changed for real.
func TestAthletePage(t *testing.T) {
	var b bytes.Buffer
	err := report.WriteAthlete(&b, athletePage(t))
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(b.Bytes(), []byte("<img src=x")) {
		t.Error("a hostile name became markup")
	}
	var text string
	var drawn int
	inBrowser(t, b.Bytes(), chromedp.Text("main", &text), chromedp.Evaluate(`document.querySelectorAll(".drawing svg").length`, &drawn))
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

func TestRatersPage(t *testing.T) {
	yes, no := true, false
	var all []scoring.Answer
	for i, pair := range [][2]*bool{{&yes, &yes}, {&no, &yes}, {&no, &no}, {&yes, &no}} {
		for r, rater := range []string{"R1", hostile} {
			all = append(all, scoring.Answer{Trial: string(rune('a' + i)), Rater: rater, Item: "stiff", Side: kinematics.Left, Error: pair[r]})
		}
	}
	c, err := scoring.NewRaterAgreement(all)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := report.WriteRaters(&b, report.RatersPage{Squad: "Larkfield Lanterns", Made: time.Now(), Tool: "steadfall test", Checklist: "two-foot-landing", Agreement: c}); err != nil {
		t.Fatal(err)
	}
	var text string
	inBrowser(t, b.Bytes(), chromedp.Text("main", &text))
	if !strings.Contains(text, "0.00") || !strings.Contains(text, hostile) {
		t.Errorf("the page says %.300s", text)
	}
}

// season is three sessions in which the knees come to fall in less, 9° from one to the next.
func season() []scoring.Progress {
	var taken []scoring.Taken
	for day, date := range []string{"2026-09-01", "2026-09-08", "2026-09-15"} {
		for trial := range 3 {
			for _, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
				taken = append(taken, scoring.Taken{Date: date, Task: kinematics.DropLanding, Limb: kinematics.Both, Measure: kinematics.Measure{
					Name: "fppa_peak", Side: side, View: kinematics.Front, Unit: "deg", Value: 20 - 9*float64(day) + 0.2*float64(trial), SD: 2,
				}})
			}
			taken = append(taken, scoring.Taken{Date: date, Task: kinematics.DropLanding, Limb: kinematics.Both, Measure: kinematics.Measure{
				Name: "landing_depth", Side: kinematics.Both, View: kinematics.Front, Unit: "cm", Value: 20 + 0.1*float64(trial), SD: 1,
			}})
		}
	}
	return scoring.NewProgress(taken)
}

func athletePage(t *testing.T) report.AthletePage {
	t.Helper()
	squad := squadPage(t)
	return report.AthletePage{
		Squad: squad.Squad, Invented: true, Made: squad.Made, Tool: squad.Tool, Code: "Birch", Name: hostile, Row: squad.Rows[1],
		Progress: season(), Decided: []report.DecisionRow{{Date: "2026-09-09", Step: "One-foot drop and hold", Told: "ready", Reason: hostile, By: "Coach"}},
	}
}
