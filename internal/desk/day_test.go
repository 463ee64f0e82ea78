package desk

import (
	"context"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"steadfall/internal/archive"
	"steadfall/internal/testkit/browsertest"
	"steadfall/scoring"
)

// The whole day with the real server, a real clip and real jobs: a new squad's first
// account, an athlete with consent, a session, an upload whose connection breaks and that
// goes on, the result that comes by itself, a knee corrected by dragging and another score,
// a finding overridden, the trial signed, a link opened by somebody else and withdrawn, and
// the athlete deleted.
func TestADayAtTheDesk(t *testing.T) {
	for _, size := range screens {
		t.Run(size.name, func(t *testing.T) {
			ctx := context.Background()
			s := newSquad(t)
			w := walk(t, s, size, "day")
			at, run, submit := w.at, w.run, w.submit
			run(chromedp.Navigate(s.URL+s.desk.FirstPath()), at("first", "/first"),
				chromedp.SendKeys("[name=name]", "Reed"), chromedp.SendKeys("[name=password]", "long enough now"), chromedp.SetValue("[name=squad]", "Marsh Lanterns"), submit("main button"), at("empty-squad", "/"),
				chromedp.Navigate(s.URL+"/sessions"), at("no-session", "/sessions"), submit("form[action='/sessions'] button"), at("session-without-athletes", "/session/1"),
				chromedp.Navigate(s.URL+"/"), chromedp.SendKeys("[name=code]", "Rowan"), chromedp.SendKeys("[name=height_cm]", "172"),
				submit("form[action='/athletes'] button"), at("athlete-without-consent", "/athlete/Rowan"),
				chromedp.Navigate(s.URL+"/session/1"), at("consent-first", "/session/1"), submit("ul.film .acts a"),
				chromedp.SendKeys("form[action$='/consent'] [name=by]", "the athlete"), submit("form[action$='/consent'] button"), at("consent", "/athlete/Rowan"),
				chromedp.Navigate(s.URL+"/session/1"), at("session", "/session/1"))

			s.cutAfter.Store(60_000)
			clip := shortClip(t)
			run(chromedp.Click("button[data-film]"), chromedp.SetUploadFiles("#film-input", []string{clip}, chromedp.ByID),
				chromedp.WaitVisible("#queue .take"), at("working", "/session/1"),
				chromedp.WaitVisible("#queue .take.scored, #queue .take.look, #queue .take.refused"), at("scored", "/session/1"))
			if from, _ := s.wentOnFrom.Load().(string); from == "" || from == "0" {
				t.Errorf("the upload went on from %q, not from where it broke", from)
			}
			takes, err := s.archive.Takes(ctx, 1)
			if err != nil || len(takes) != 1 || len(takes[0].Trials) != 1 {
				t.Fatalf("%+v, %v", takes, err)
			}
			id := takes[0].Trials[0]
			before, err := s.archive.Newest(ctx, id)
			if err != nil {
				t.Fatal(err)
			}
			trial := fmt.Sprintf("/trial/%d", id)
			look := trial + "/look"
			run(chromedp.Navigate(s.URL+trial), at("trial", trial), chromedp.Navigate(s.URL+trial+"/sheet"), at("sheet", trial+"/sheet"), chromedp.Navigate(s.URL+look), chromedp.WaitVisible("#picture[data-shown]"), at("look", look))

			var was, now string
			run(chromedp.Click("#placing summary"), chromedp.Click("#marks button:nth-child(2)"), w.shown(), chromedp.Text("#now", &was),
				w.dragKnee(30), chromedp.Text("#now", &now), at("knee-dragged", look))
			if was == now || !strings.Contains(now, "left knee") {
				t.Errorf("the angle did not follow the knee: %q, then %q", was, now)
			}
			run(chromedp.Click("#undo"), chromedp.Text("#now", &now))
			if now != was {
				t.Errorf("undone it says %q, not %q", now, was)
			}
			run(chromedp.Click("#redo"), chromedp.Click("#save"), chromedp.WaitVisible("#again .answer"), at("measuring-again", look),
				chromedp.WaitNotPresent("#again .answer"), chromedp.WaitVisible("#picture[data-shown]"), at("measured-again", look))
			after, err := s.archive.Newest(ctx, id)
			if err != nil {
				t.Fatal(err)
			}
			if a, b := measure(t, before), measure(t, after); b < a+1 {
				t.Errorf("the knee was dragged in, but it was measured %.1f° in before and %.1f° after", a, b)
			}
			if all, err := s.archive.Results(ctx, id); err != nil || len(all) != 2 {
				t.Errorf("%d results are kept, %v; want the old one and the new", len(all), err)
			}

			var said string
			run(chromedp.Navigate(s.URL+trial), chromedp.SetValue("[name=says]", "error"), chromedp.SendKeys("[name=reason]", "seen by eye"),
				submit("form[action$='/override'] button"), at("overridden", trial), submit("form[action$='/sign'] button"), at("signed", trial), chromedp.Text("main", &said))
			if !strings.Contains(said, "Reed said so: seen by eye. The tool:") || !strings.Contains(said, "signed by Reed") {
				t.Errorf("the trial says %.300s", said)
			}
			var link string
			run(chromedp.Navigate(s.URL+"/athlete/Rowan"), submit("form[action$='/share'] button"), at("link", "/athlete/Rowan"), chromedp.AttributeValue("a[href^='/shared/']", "href", &link, nil))
			clean := &walker{t: t, ctx: browsertest.Open(t, size.width, size.height, s.URL), size: size, name: "day-athlete"}
			clean.run(chromedp.Navigate(s.URL+link), clean.at("shared", link), chromedp.Navigate(s.URL+link+"/all"), clean.at("shared-all", link+"/all"),
				chromedp.Navigate(s.URL+link+trial+"/numbers"), clean.at("shared-numbers", link+trial+"/numbers"))
			run(submit("form[action$='/revoke'] button"))
			clean.run(chromedp.Navigate(s.URL+link), clean.at("withdrawn", link), chromedp.Text("main", &said))
			if !strings.Contains(said, "opens nothing") {
				t.Errorf("a withdrawn link says %.80s", said)
			}
			run(chromedp.Navigate(s.URL+"/audit"), at("audit", "/audit"), chromedp.Navigate(s.URL+"/athlete/Rowan"),
				chromedp.SendKeys("form[action$='/delete'] [name=code]", "Rowan"), submit("form[action$='/delete'] button"), at("deleted", "/athlete/Rowan/delete"))
			if all, err := s.archive.Trials(ctx, "", 0); err != nil || len(all) != 0 {
				t.Errorf("%d trials are left, %v", len(all), err)
			}
			if left, err := filepath.Glob(filepath.Join(filepath.Dir(s.archive.Incoming()), "*", "*.*")); err != nil || len(left) != 0 {
				t.Errorf("files of the athlete are left: %v, %v", left, err)
			}
		})
	}
}

// shortClip is a rendered clip, cut to the landing and made smaller, so that the day is
// short.
func shortClip(t *testing.T) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "a clip.mp4")
	out, err := exec.Command("ffmpeg", "-v", "error", "-ss", "0.6", "-t", "2.7", "-i", filepath.Join("..", "..", "testdata", "clips", "two_foot_knee_in_front.mp4"),
		"-vf", "scale=540:-2", "-c:v", "libx264", "-preset", "veryfast", "-an", to).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return to
}

// measure is how far the left knee falls in at the deepest point, degrees.
func measure(t *testing.T, r scoring.Result) float64 {
	for _, m := range r.Measures {
		if m.Name == "fppa_lowest" && m.Side == "left" {
			return m.Value
		}
	}
	t.Fatal("the knee was not measured")
	return 0
}

// shown waits until the picture of the present frame is on the screen.
func (w *walker) shown() chromedp.Action {
	return chromedp.Poll(`document.getElementById('picture').dataset.shown.split('/')[1] === document.getElementById('now').textContent.match(/frame (\d+)/)[1]`, nil)
}

// dragKnee drags the left knee to the inner side, so many pixels of the clip.
func (w *walker) dragKnee(by float64) chromedp.Action {
	return chromedp.ActionFunc(func(ctx context.Context) error {
		var at [3]float64 // of the knee on the screen, and screen pixels per pixel of the clip
		err := chromedp.Run(ctx, chromedp.ScrollIntoView("#picture"), chromedp.Evaluate(`(() => {
			const d = JSON.parse(document.getElementById('data').textContent), v = d.views[0]
			const n = +document.getElementById('now').textContent.match(/frame (\d+)/)[1], i = v.frames.indexOf(n)
			let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity]
			for (const ps of Object.values(v.points)) for (const p of ps) if (p[0] !== null) { x0 = Math.min(x0, p[0]); y0 = Math.min(y0, p[1]); x1 = Math.max(x1, p[0]); y1 = Math.max(y1, p[1]) }
			const tall = y1 - y0, r = document.getElementById('picture').getBoundingClientRect()
			const k = Math.min(r.width / (x1 - x0 + 0.3 * tall), r.height / (1.4 * tall)), p = v.points.left_knee[i]
			return [r.left + r.width / 2 + (p[0] - (x0 + x1) / 2) * k, r.top + r.height / 2 + (p[1] - (y0 + y1) / 2 + 0.1 * tall) * k, k]
		})()`, &at))
		if err != nil {
			return err
		}
		mouse := func(kind input.MouseType, x float64) error {
			return input.DispatchMouseEvent(kind, x, at[1]).WithButton(input.Left).WithButtons(1).WithClickCount(1).Do(ctx)
		}
		if err := mouse(input.MousePressed, at[0]); err != nil {
			return err
		}
		for i := 1.0; i <= 5; i++ { // the left knee is on the right of the picture
			if err := mouse(input.MouseMoved, at[0]-by*at[2]*i/5); err != nil {
				return err
			}
		}
		if err := w.at("knee-under-the-finger", "/trial/1/look").Do(ctx); err != nil {
			return err
		}
		return mouse(input.MouseReleased, at[0]-by*at[2])
	})
}

// newSquad is a desk over an archive without anybody.
func newSquad(t testing.TB) *served {
	t.Helper()
	a, err := archive.Create(context.Background(), filepath.Join(t.TempDir(), "squad"), archive.Squad{Name: "Larkfield Lanterns", Invented: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { a.Close() })
	l, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		t.Fatal(err)
	}
	s := &served{archive: a}
	s.open(t, l)
	return s
}
