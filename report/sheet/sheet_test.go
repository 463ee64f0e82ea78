package sheet_test

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"golang.org/x/text/language"

	"steadfall/internal/paper"
	"steadfall/internal/simulated"
	"steadfall/internal/testkit/browsertest"
	"steadfall/internal/testkit/pagetest"
	"steadfall/internal/testkit/scored"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/locale"
	"steadfall/report/sheet"
	"steadfall/scoring"
)

// rowan is the athlete's page of a simulated landing with one knee that falls in, of the
// invented athlete Rowan.
func rowan(t *testing.T) sheet.Page {
	t.Helper()
	r := scored.Simulate(t, simulated.Landing{
		View: kinematics.Front, FPS: 60, StatureCM: 175, PxPerCM: 4.2, BoxCM: 30, DepthCM: 20, HoldS: 2.5, SD: 1,
		FPPADeg: map[kinematics.Side]float64{kinematics.Left: 26, kinematics.Right: 3},
	}, nil).Result
	mean := func(date string, v float64) scoring.SessionMean {
		return scoring.SessionMean{Date: date, Trials: 3, Mean: v, SD: 0.8}
	}
	return sheet.Page{
		About: report.About{Made: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), Invented: true}, Name: "Rowan", Date: "2026-03-01", Result: r,
		Progress: []scoring.Progress{{
			Task: r.Task, Limb: r.Limb, Name: "landing_depth", Unit: "cm",
			Sessions:    []scoring.SessionMean{mean("2026-02-01", 14), mean("2026-03-01", 20)},
			SinceBefore: &scoring.Change{Value: 6, SD: 1.1, Detectable: 3, Verdict: scoring.RealChange},
		}},
		Next: "You are working on: %s. Your coach decides when you go on.", Step: "Two-foot drop and hold",
	}
}

func sheetHTML(t *testing.T, s sheet.Page) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := sheet.Write(&b, s); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestPage(t *testing.T) {
	pagetest.Page{
		Name: "sheet", Also: map[string]locale.Locale{"sheet-de": {Language: language.German}},
		Write: func(w io.Writer, loc locale.Locale) error {
			p := rowan(t)
			p.Locale = loc
			return sheet.Write(w, p)
		},
	}.Test(t)
}

// The page says one thing that went well and what to do, with its picture, and nothing of
// totals or chances.
func TestSheetSaysWhatToDo(t *testing.T) {
	html := sheetHTML(t, rowan(t))
	words := strings.ReplaceAll(string(html), "\u00a0", " ") // units hang on to their numbers
	for _, want := range []string{"One thing to work on", "Push your knees out", "<strong>Good:</strong>", `class="cuefig"`, `class="trace"`, "You were still after", "last time 14.0 ± 0.8 cm. That is a real change", "working on: Two-foot", "Stop if it hurts", "invented"} {
		if !strings.Contains(words, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, no := range []string{"Chance of", "Expected total", "of 8 points", "risk", "<script"} {
		if strings.Contains(words, no) {
			t.Errorf("the page says %q", no)
		}
	}
	if again := sheetHTML(t, rowan(t)); !bytes.Equal(html, again) {
		t.Error("two runs gave two pages")
	}
}

// An athlete's page with two things to do, their figures, three upright pictures, the strip, the
// hold and what changed is one sheet of A4 on paper, to be hung up or taken home.
func TestSheetIsOneSheetOfPaper(t *testing.T) {
	if _, err := exec.LookPath("chromium"); err != nil {
		t.Skip("chromium is not installed; run make setup")
	}
	s := rowan(t)
	half := 0.0
	s.Result.Score.Items = append(s.Result.Score.Items, scoring.Finding{ID: "trunk-leans", Side: kinematics.Both, Finding: scoring.Error, Probability: &half, Cue: "Keep your chest over your hips"})
	for _, p := range []struct {
		moment        string
		width, height int
	}{{"contact", 428, 760}, {"deepest", 428, 760}, {"hold", 428, 760}, {report.Strip, 980, 340}} {
		var b bytes.Buffer
		if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, p.width, p.height)), nil); err != nil {
			t.Fatal(err)
		}
		s.Pictures = append(s.Pictures, report.Picture{View: kinematics.Front, Moment: p.moment, Frame: 60, TimeS: 1, Data: b.Bytes(), Caption: "at " + p.moment})
	}
	html := sheetHTML(t, s)
	if n := strings.Count(string(html), `class="cuefig"`); n != 2 {
		t.Fatalf("%d cues with figures", n)
	}
	pdf, err := paper.Print(context.Background(), html)
	if err != nil {
		t.Fatal(err)
	}
	// ISO 32000-1, 7.7.3.2: the page tree has its count.
	if n := regexp.MustCompile(`/Count \d+`).FindString(string(pdf)); n != "/Count 1" {
		t.Errorf("the page's tree says %q", n)
	}
}

// A leg that errs takes the praise for the other away, and at most two cues are given.
func TestSheetPraisesWhatBothLegsShow(t *testing.T) {
	s := rowan(t)
	half := 0.0
	s.Result.Score.Items = []scoring.Finding{
		{ID: "a", Side: kinematics.Left, Finding: scoring.Clear, Well: "praise for a", Probability: &half},
		{ID: "a", Side: kinematics.Right, Finding: scoring.Error, Cue: "cue a"},
		{ID: "b", Finding: scoring.Error, Cue: "cue b"},
		{ID: "c", Finding: scoring.Error, Cue: "cue c"},
		{ID: "d", Finding: scoring.Clear, Well: "praise for d", Probability: &half},
	}
	words := string(sheetHTML(t, s))
	if strings.Contains(words, "praise for a") || !strings.Contains(words, "praise for d") {
		t.Error("praise goes to what one leg did not show")
	}
	if n := strings.Count(words, "Next time:"); n != 2 || strings.Contains(words, "cue c") {
		t.Errorf("%d cues", n)
	}
	s.Result.Score.Items = []scoring.Finding{{ID: "a", Finding: scoring.NotSeen}}
	if !strings.Contains(string(sheetHTML(t, s)), "Film it again") {
		t.Error("nothing was seen, and the page does not say so")
	}
}

// On a phone what happened and what to do are on the first screen; scripts are not needed.
func TestSheetOnAPhone(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.html")
	if err := os.WriteFile(file, sheetHTML(t, rowan(t)), 0o644); err != nil {
		t.Fatal(err)
	}
	ctx := browsertest.Open(t, 390, 844, "")
	var foot float64
	var wide int
	var shot []byte
	err := chromedp.Run(ctx, emulation.SetScriptExecutionDisabled(true), chromedp.Navigate("file://"+file), emulation.SetScriptExecutionDisabled(false),
		chromedp.Evaluate(`document.querySelector("header.top").getBoundingClientRect().bottom`, &foot),
		chromedp.Evaluate(`document.documentElement.scrollWidth - innerWidth`, &wide),
		chromedp.ActionFunc(func(ctx context.Context) error {
			dir := os.Getenv("STEADFALL_SHOTS")
			if dir == "" {
				return nil
			}
			if err := chromedp.FullScreenshot(&shot, 90).Do(ctx); err != nil {
				return err
			}
			return os.WriteFile(filepath.Join(dir, "sheet-phone.jpg"), shot, 0o644)
		}))
	if err != nil {
		t.Fatal(err)
	}
	if foot > 844 || wide > 0 {
		t.Errorf("what to do ends at %.0f of 844 px; %d px too wide", foot, wide)
	}
}

// The words are plain: a Flesch-Kincaid grade of 6 at most (Kincaid et al. 1975, Research
// Branch Report 8-75: 0.39·words/sentences + 11.8·syllables/words − 15.59).
func TestSheetReadsPlainly(t *testing.T) {
	text := string(sheetHTML(t, rowan(t)))
	text = regexp.MustCompile(`(?s)<head>.*?</head>|<svg.*?</svg>|<p class="banner">.*?</p>|<p class="quiet">Made.*?</p>`).ReplaceAllString(text, " ")
	text = regexp.MustCompile(`</(h1|h2|p|li)>`).ReplaceAllString(text, ". ")
	text = regexp.MustCompile(`<[^>]+>`).ReplaceAllString(text, " ")
	text = regexp.MustCompile(`[0-9.]+[0-9]`).ReplaceAllString(text, " ")
	sentences := len(regexp.MustCompile(`[A-Za-z][^.!?]*[.!?]`).FindAllString(text, -1))
	words := regexp.MustCompile(`[A-Za-z]+`).FindAllString(text, -1)
	syllables := 0
	for _, w := range words {
		n := len(regexp.MustCompile(`[aeiouy]+`).FindAllString(strings.ToLower(strings.TrimSuffix(w, "e")), -1))
		syllables += max(n, 1)
	}
	grade := 0.39*float64(len(words))/float64(sentences) + 11.8*float64(syllables)/float64(len(words)) - 15.59
	t.Logf("%d words, %d sentences, grade %.1f", len(words), sentences, grade)
	if grade > 6 {
		t.Errorf("the page reads at grade %.1f", grade)
	}
}

// Every item of a bundled checklist that a machine decides has its figure and its praise.
func TestEveryCueHasAFigure(t *testing.T) {
	for _, name := range scoring.Names() {
		c, err := scoring.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, it := range c.Items {
			if it.Rater {
				continue
			}
			s := sheet.Page{Result: scoring.Result{Score: scoring.Score{Items: []scoring.Finding{{ID: it.ID, Finding: scoring.Error, Cue: it.Cue}}}}}
			if !strings.Contains(string(sheetHTML(t, s)), "cuefig") || it.Well == "" {
				t.Errorf("%s, %s: no figure or no praise", name, it.ID)
			}
		}
	}
}
