// Package browsertest runs headless Chromium for tests and listens for what pages must not
// do: say something on the console, or ask for something elsewhere.
package browsertest

import (
	"context"
	_ "embed"
	"os/exec"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Open starts a clean browser of that size. Requests may only go to addresses with that
// prefix, files and data; anything else, and any message on the console, fails the test at
// its end.
func Open(t *testing.T, width, height int, allowed string) context.Context {
	t.Helper()
	bin, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed; run make setup")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(bin), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.WindowSize(width, height))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, done := chromedp.NewContext(alloc)
	var noise []string
	chromedp.ListenTarget(ctx, func(ev any) {
		switch e := ev.(type) {
		case *runtime.EventConsoleAPICalled:
			noise = append(noise, "console "+string(e.Type))
		case *runtime.EventExceptionThrown:
			noise = append(noise, e.ExceptionDetails.Error())
		case *log.EventEntryAdded:
			// A refused page and a broken connection are what some tests ask for.
			if !strings.Contains(e.Entry.Text, "status of 4") && !strings.Contains(e.Entry.Text, "net::ERR_EMPTY_RESPONSE") {
				noise = append(noise, e.Entry.Text)
			}
		case *network.EventRequestWillBeSent:
			u := e.Request.URL
			if !strings.HasPrefix(u, "file://") && !strings.HasPrefix(u, "data:") && !strings.HasPrefix(u, "blob:") && (allowed == "" || !strings.HasPrefix(u, allowed)) {
				noise = append(noise, "request "+u)
			}
		}
	})
	t.Cleanup(func() {
		done()
		stop()
		if len(noise) > 0 {
			t.Errorf("the pages are not silent: %q", noise)
		}
	})
	if err := chromedp.Run(ctx, network.Enable(), log.Enable(), runtime.Enable(), chromedp.EmulateViewport(int64(width), int64(height))); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// axe finds barriers for people with disabilities in a page (axe-core, of the npm registry).
//
//go:embed axe.min.js
var axe string

// Barriers are what axe finds on the page at levels A and AA of WCAG 2.
func Barriers(ctx context.Context, t *testing.T) []string {
	t.Helper()
	var found []string
	err := chromedp.Run(ctx, chromedp.Evaluate(axe+`; axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']})
		.then(r => r.violations.map(v => v.id + ': ' + v.help + ' at ' + v.nodes.map(n => n.target.join(' ')).slice(0, 3).join(', ')))`,
		&found, func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }))
	if err != nil {
		t.Fatal(err)
	}
	return found
}
