// Command pictures takes the pictures of the demo's pages, on a phone, on a desktop and on
// paper, for somebody to look at, and prints how large each page is and how soon its first
// screen stands.
//
//	go run ./internal/tools/pictures DEMO-FOLDER PICTURES-FOLDER
package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"

	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"steadfall/internal/paper"
)

// pages are those that leave the gym.
var pages = []string{"sheet-elm", "physio-birch", "squad", "wall", "birch", "athlete-birch"}

// screens are the sizes pages are seen at, CSS px.
var screens = []struct {
	name       string
	wide, high int64
	scale      float64
}{{"phone", 390, 844, 2}, {"desktop", 1200, 900, 1}}

// loads are for how many times a page is opened to tell when its first screen stands.
const loads = 5

// firstPaint waits for the first paint of content, ms from the start of loading.
const firstPaint = `new Promise(done => new PerformanceObserver(all => {
	for (const e of all.getEntries()) if (e.name == "first-contentful-paint") done(e.startTime);
}).observe({type: "paint", buffered: true}))`

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "pictures: name the demo's folder and one for the pictures")
		os.Exit(2)
	}
	if err := take(ctx, os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, "pictures:", err)
		os.Exit(1)
	}
}

func take(ctx context.Context, from, to string) error {
	if err := os.MkdirAll(to, 0o755); err != nil {
		return err
	}
	flags := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("hide-scrollbars", true))
	alloc, stop := chromedp.NewExecAllocator(ctx, flags...)
	defer stop()
	browser, done := chromedp.NewContext(alloc)
	defer done()
	for _, page := range pages {
		file, err := filepath.Abs(filepath.Join(from, page+".html"))
		if err != nil {
			return err
		}
		html, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		first, err := seen(browser, file, page, to)
		if err != nil {
			return err
		}
		sheets, err := printed(ctx, html, filepath.Join(to, page+"-a4"))
		if err != nil {
			return err
		}
		fmt.Printf("%-14s %4.2f MB, first screen after %3.0f ms (median of %d), %d sheets of A4\n", page, float64(len(html))/1e6, first, loads, sheets)
	}
	return nil
}

// seen takes the first screen and the whole of a page at every size, and tells after how
// many ms its first contentful paint was, on a phone.
func seen(browser context.Context, file, page, to string) (first float64, err error) {
	var paints []float64
	for range loads {
		var ms float64
		err := chromedp.Run(browser, chromedp.EmulateViewport(screens[0].wide, screens[0].high), chromedp.Navigate("file://"+file),
			chromedp.Evaluate(firstPaint, &ms, func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }))
		if err != nil {
			return 0, err
		}
		paints = append(paints, ms)
	}
	slices.Sort(paints)
	for _, s := range screens {
		var top, whole []byte
		err := chromedp.Run(browser, chromedp.EmulateViewport(s.wide, s.high, chromedp.EmulateScale(s.scale)), chromedp.Navigate("file://"+file),
			chromedp.CaptureScreenshot(&top), chromedp.FullScreenshot(&whole, 100))
		if err != nil {
			return 0, err
		}
		for name, data := range map[string][]byte{page + "-" + s.name + ".png": top, page + "-" + s.name + "-whole.png": whole} {
			if err := os.WriteFile(filepath.Join(to, name), data, 0o644); err != nil {
				return 0, err
			}
		}
	}
	return paints[loads/2], nil
}

// printed prints a page and takes a picture of every sheet.
func printed(ctx context.Context, html []byte, name string) (sheets int, err error) {
	pdf, err := paper.Print(ctx, html)
	if err != nil {
		return 0, err
	}
	if err := os.WriteFile(name+".pdf", pdf, 0o644); err != nil {
		return 0, err
	}
	if out, err := exec.CommandContext(ctx, "pdftoppm", "-r", "80", "-png", name+".pdf", name).CombinedOutput(); err != nil {
		return 0, fmt.Errorf("pdftoppm: %w: %s", err, strings.TrimSpace(string(out)))
	}
	all, err := filepath.Glob(name + "-*.png")
	return len(all), err
}
