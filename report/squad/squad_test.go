package squad_test

import (
	"bytes"
	"encoding/csv"
	"io"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"steadfall/internal/testkit/pagetest"
	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/report/squad"
	"steadfall/scoring"
)

func squadPage(t *testing.T) squad.Page {
	t.Helper()
	l, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		t.Fatal(err)
	}
	stand := func(v scoring.Progression, because scoring.Sentence, physio ...scoring.Sentence) scoring.Standing {
		return scoring.Standing{Step: "two-foot-drop", Title: "Two-foot drop and hold", Verdict: v, Because: scoring.Sentences{because}, Physio: physio}
	}
	return squad.Page{
		About: pagetest.About(), Ladder: l, Newest: "2026-09-08",
		Rows: []squad.Row{
			{Code: "Ash", Standing: stand(scoring.Ready, scoring.Sentence{Words: "every rule of the step is met in the last %s", Args: []any{scoring.Sentence{Words: "%d sessions", Args: []any{2}}}}), LastSeen: "2026-09-08", Trials: 6},
			{Code: "Birch", Name: pagetest.Hostile, Standing: stand(scoring.NotYet, scoring.Sentence{Words: "done in %d of %s", Args: []any{1, scoring.Sentence{Words: "%d sessions", Args: []any{2}}}}), LastSeen: "2026-09-08", Trials: 9, Error: "the knee falls inside the foot", ErrorIn: 2, ErrorOf: 3, Cue: "Push your knees out."},
			{Code: "Cedar", Standing: stand(scoring.Ready, scoring.Sentence{Words: "every rule of the step is met in the last %s", Args: []any{scoring.Sentence{Words: "%d sessions", Args: []any{2}}}}, scoring.Sentence{Words: "pain %d of 10 on %s", Args: []any{4, "2026-09-08"}}), LastSeen: "2026-09-08", Trials: 6},
			{Code: "Dogwood", Standing: stand(scoring.CannotSay, scoring.Sentence{Words: "%s: not asked about pain", Args: []any{"2026-09-08"}}), LastSeen: "2026-09-01", Missing: true, Absent: "=ill", Trials: 3},
			{Code: "Elm", Standing: stand(scoring.CannotSay, scoring.Sentence{Words: "%s: not asked about pain", Args: []any{"2026-09-08"}}), LastSeen: "2026-09-08", Trials: 30},
		},
		Spreads: []squad.Spread{{Task: kinematics.DropLanding, Measure: "fppa_peak", Rows: []squad.SpreadRow{
			{Code: "Ash", Side: kinematics.Left, Value: 3.2, SD: 2.1}, {Code: "Birch", Side: kinematics.Right, Value: 18.4, SD: 2.6}, {Code: "Elm", Side: kinematics.Left, Value: 9.9, SD: 2.2},
		}}},
	}
}

func TestPages(t *testing.T) {
	for name, write := range map[string]func(io.Writer, squad.Page) error{"squad": squad.Write, "wall": squad.WriteWall} {
		pagetest.Page{Name: name, Write: func(w io.Writer, loc locale.Locale) error {
			p := squadPage(t)
			p.Locale = loc
			return write(w, p)
		}}.Test(t)
	}
}

// Everybody stands in one group; pain comes before being ready, and missing before what the
// rules say. Searching and ordering work on a phone.
func TestSquadPage(t *testing.T) {
	var b bytes.Buffer
	if err := squad.Write(&b, squadPage(t)); err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(b.Bytes(), []byte("<img src=x")) {
		t.Error("a pagetest.Hostile name became markup")
	}
	var answer, first, table string
	var left int
	pagetest.InBrowser(t, b.Bytes(),
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
	if err := squad.WriteTable(&c, squadPage(t).Rows); err != nil {
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
	if err := squad.WriteWall(&b, p); err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(b.Bytes(), []byte("<img src=x")) {
		t.Error("a pagetest.Hostile name became markup")
	}
	text := pagetest.Content(t, b.Bytes())
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
	pagetest.InBrowser(t, b.Bytes())
}
