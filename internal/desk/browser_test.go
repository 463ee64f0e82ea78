package desk

import (
	"context"
	_ "embed"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"steadfall/internal/rescore"
	"steadfall/internal/testkit/browsertest"
	"steadfall/scoring"
)

// shotsIn names the folder that pictures of every page go into, to be looked at.
const shotsIn = "STEADFALL_SHOTS"

// screen is a size of screen that pages are walked on.
type screen struct {
	name          string
	width, height int
}

var screens = []screen{{"phone", 390, 844}, {"desktop", 1280, 900}}

// walker goes through pages and looks at each.
type walker struct {
	t    *testing.T
	ctx  context.Context
	size screen
	name string
	n    int
}

func walk(t *testing.T, s *served, size screen, name string) *walker {
	return &walker{t: t, ctx: browsertest.Open(t, size.width, size.height, s.URL), size: size, name: name}
}

func (w *walker) run(actions ...chromedp.Action) {
	w.t.Helper()
	if err := chromedp.Run(w.ctx, actions...); err != nil {
		w.t.Fatal(err)
	}
}

// submit sends a form and waits until the next page is there.
func (w *walker) submit(button string) chromedp.Action {
	return chromedp.ActionFunc(func(ctx context.Context) error {
		_, err := chromedp.RunResponse(ctx, chromedp.Click(button))
		return err
	})
}

// at checks that a page is where it should be, fits the screen and has no barrier that axe
// knows, and takes a picture of it.
func (w *walker) at(what, where string) chromedp.Action {
	return chromedp.ActionFunc(func(ctx context.Context) error {
		w.n++
		var path string
		var wide int
		err := chromedp.Run(ctx,
			chromedp.Evaluate("location.pathname", &path),
			chromedp.Evaluate("document.documentElement.scrollWidth - innerWidth", &wide),
		)
		if err != nil {
			return err
		}
		if path != where || wide > 0 {
			return fmt.Errorf("%s: at %s, want %s; %d px too wide", what, path, where, wide)
		}
		for _, barrier := range browsertest.Barriers(ctx, w.t) {
			w.t.Errorf("%s: %s", what, barrier)
		}
		if dir := os.Getenv(shotsIn); dir != "" {
			var shot []byte
			if err := chromedp.FullScreenshot(&shot, 90).Do(ctx); err != nil {
				return err
			}
			return os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%s-%02d-%s.jpg", w.name, w.size.name, w.n, what)), shot, 0o644)
		}
		return nil
	})
}

// A coach's way through the desk, on a phone and on a desktop: sign in, add an athlete with
// consent, look, decide, share, withdraw, delete.
func TestAWayThroughTheDesk(t *testing.T) {
	for _, size := range screens {
		t.Run(size.name, func(t *testing.T) {
			s := serve(t)
			w := walk(t, s, size, "desk")
			at, run, submit := w.at, w.run, w.submit
			var link, said string
			run(chromedp.Navigate(s.URL+"/"), at("sign-in", "/signin"),
				chromedp.SendKeys("[name=name]", "admin"), chromedp.SendKeys("[name=password]", "wrong"), submit("main button"), at("wrong-password", "/signin"),
				chromedp.SendKeys("[name=name]", "admin"), chromedp.SendKeys("[name=password]", "password of admin"), submit("main button"), at("squad", "/"),
				chromedp.SendKeys("[name=code]", "Cedar"), chromedp.SendKeys("[name=height_cm]", "181"), chromedp.SendKeys("[name=consent_by]", "the athlete"),
				submit("form[action='/athletes'] button"), at("new-athlete", "/athlete/Cedar"))
			run(chromedp.Navigate(s.URL+"/athlete/Ash"), at("athlete", "/athlete/Ash"),
				chromedp.SendKeys("[name=reason]", "steady all week"), submit("form[action$='/decide'] button"), at("decided", "/athlete/Ash"),
				chromedp.Text("main", &said))
			if !strings.Contains(said, "steady all week") {
				t.Error("the decision is not on the page")
			}
			run(submit("form[action$='/share'] button"), at("link", "/athlete/Ash"), chromedp.AttributeValue("a[href^='/shared/']", "href", &link, nil))
			clean := browsertest.Open(t, size.width, size.height, s.URL)
			var shared, refused string
			if err := chromedp.Run(clean, chromedp.Navigate(s.URL+link), at("shared", link), chromedp.Text("main", &shared)); err != nil {
				t.Fatal(err)
			}
			if strings.Contains(shared, "steady all week") || strings.Contains(shared, "Birch") {
				t.Error("the shared page shows what is not the athlete's")
			}
			run(submit("form[action$='/revoke'] button"), at("withdrawn", "/athlete/Ash"))
			if err := chromedp.Run(clean, chromedp.Navigate(s.URL+link), at("refused", link), chromedp.Text("main", &refused)); err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(refused, "opens nothing") {
				t.Errorf("a withdrawn link shows %.80s", refused)
			}
			trial := fmt.Sprintf("/trial/%d", s.trials["Ash"])
			var signed, answered, numbers string
			run(chromedp.Navigate(s.URL+trial), at("trial", trial),
				chromedp.SetValue("[name=says]", "error"), chromedp.SendKeys("[name=reason]", "seen by eye"), submit("form[action$='/override'] button"), at("overridden", trial),
				chromedp.Text("main", &said), submit("form[action$='/sign'] button"), at("signed", trial), chromedp.Text("main", &signed),
				chromedp.ActionFunc(func(ctx context.Context) error { // by a checklist that asks a person
					_, err := rescore.All(ctx, s.archive, func(int) (scoring.Checklist, error) { return scoring.Load("padua-2009") }, "steadfall test", nil)
					return err
				}),
				chromedp.Navigate(s.URL+trial+"/look"), at("asked", trial+"/look"), chromedp.Click(".asked [value=error]"), submit(".asked button"), at("answered", trial+"/look"),
				chromedp.Text("main", &answered),
				chromedp.Navigate(s.URL+"/athlete/Ash/physio"), at("physio", "/athlete/Ash/physio"), chromedp.Text("main", &numbers),
				chromedp.Navigate(s.URL+"/sessions"), at("sessions", "/sessions"), chromedp.Navigate(s.URL+"/staff"), at("staff", "/staff"),
				chromedp.Navigate(s.URL+"/audit"), at("audit", "/audit"), chromedp.Navigate(s.URL+"/athlete/Cedar"),
				chromedp.SendKeys("form[action$='/delete'] [name=code]", "Cedar"), submit("form[action$='/delete'] button"), at("deleted", "/athlete/Cedar/delete"))
			if !strings.Contains(said, "admin said so: seen by eye. The tool: clear") || !strings.Contains(said, "1 sure error") || !strings.Contains(signed, "signed by admin") {
				t.Errorf("the overridden and signed trial says %.400s", said)
			}
			if !strings.Contains(answered, "admin said so: seen in the clip") {
				t.Errorf("the answer to what was asked is not on the page: %.400s", answered)
			}
			if !strings.Contains(numbers, "1 trial, for the physio") || !strings.Contains(numbers, "Signed by admin") {
				t.Errorf("the physio's page says %.400s", numbers)
			}
			if all, err := s.archive.Athletes(context.Background()); err != nil || len(all) != 2 {
				t.Errorf("%d athletes are left, %v; want 2", len(all), err)
			}
		})
	}
}
