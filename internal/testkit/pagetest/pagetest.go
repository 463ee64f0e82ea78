// Package pagetest holds what every page is tested for: what it says, in whose words, and
// whether everybody can read it. People and squads in it are invented.
package pagetest

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"steadfall/internal/testkit/browsertest"
	"steadfall/report"
	"steadfall/report/locale"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Hostile is a name that would run if it became markup.
const Hostile = `<img src=x onerror=alert(1)>.mp4`

// About is of the invented squad that pages under test are of.
func About() report.About {
	return report.About{Squad: "Larkfield Lanterns", Invented: true, Made: time.Date(2026, 9, 9, 0, 0, 0, 0, time.UTC), Tool: "steadfall test"}
}

// theirs are the words of people and files on pages under test, and what stands for pictures.
var theirs = strings.NewReplacer(Hostile, "", "</script><script>document.title='taken'</script>", "", "09:00 first", "", "09:01 second", "", "Larkfield Lanterns", "", "Ash", "", "Birch", "", "Cedar", "", "Dogwood", "", "Elm", "",
	"Coach", "", "Physio", "", "Rowan", "", "steadfall test", "", "[mark]", "", "[overlay]", "", "[cuefig]", "", "[trace]", "", "[picture: ", "", "=ill", "", " Sep", "")

// Page is a page under test.
type Page struct {
	Name  string // of its golden file, testdata/golden/NAME.txt
	Write func(w io.Writer, loc locale.Locale) error
	Also  map[string]locale.Locale // golden files in other languages and units, by their names
}

// Test tries what holds for every page: it says what it said, all its own words are messages,
// and it has no barriers.
func (p Page) Test(t *testing.T) {
	all := map[string]locale.Locale{p.Name: {}}
	for name, loc := range p.Also {
		all[name] = loc
	}
	for name, loc := range all {
		t.Run("Golden/"+name, func(t *testing.T) { p.golden(t, name, loc) })
		t.Run("ForEverybody/"+name, func(t *testing.T) { p.forEverybody(t, loc) })
	}
	t.Run("WordsAreMessages", p.wordsAreMessages)
}

func (p Page) page(t *testing.T, loc locale.Locale) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := p.Write(&b, loc); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Nothing that a page says of itself is outside the files of messages: in a language that
// puts brackets around every message no other words are left but those of people and files,
// and what stands as English, such as sources and the reasons of the measuring.
func (p Page) wordsAreMessages(t *testing.T) {
	english := regexp.MustCompile(`<span lang="en">[^<]*</span>`)
	named := regexp.MustCompile(`(?:aria-label|placeholder|data-leg|alt)="([^"]*)"`)
	message, word := regexp.MustCompile(`⟦[^⟦⟧]*⟧`), regexp.MustCompile(`\pL{3,}`)
	page := english.ReplaceAll(p.page(t, locale.Pseudo()), nil)
	lines := strings.Split(Content(t, page), "\n")
	for _, m := range named.FindAllSubmatch(page, -1) {
		lines = append(lines, html.UnescapeString(string(m[1])))
	}
	for _, line := range lines {
		rest := theirs.Replace(line)
		for message.MatchString(rest) {
			rest = message.ReplaceAllString(rest, "")
		}
		if word.MatchString(rest) && !strings.HasPrefix(line, "chart ") {
			t.Error(line)
		}
	}
}

// golden: a page says what it said: its words, and the options of its charts thinned and rounded.
// go test ./report/PAGE -run /Golden -update writes the file anew; read the difference.
func (p Page) golden(t *testing.T, name string, loc locale.Locale) {
	page := p.page(t, loc)
	if again := p.page(t, loc); !bytes.Equal(page, again) {
		t.Error("two runs gave two pages")
	}
	got := Content(t, page)
	file := filepath.Join("testdata", "golden", name+".txt")
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got == string(want) {
		return
	}
	is, was := strings.Split(got, "\n"), strings.Split(string(want), "\n")
	for i := range min(len(is), len(was)) {
		if is[i] != was[i] {
			t.Fatalf("line %d says %q, it said %q", i+1, is[i], was[i])
		}
	}
	t.Fatalf("%d lines, there were %d", len(is), len(was))
}

// No page has a barrier that axe finds, on a phone or on a desktop, and with scripts off its
// words stand all the same.
func (p Page) forEverybody(t *testing.T, loc locale.Locale) {
	page := p.page(t, loc)
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, page, 0o644); err != nil {
		t.Fatal(err)
	}
	ctx := browsertest.Open(t, 390, 844, "")
	for _, wide := range []int64{390, 1200} {
		var quiet string
		err := chromedp.Run(ctx, chromedp.EmulateViewport(wide, 844), emulation.SetScriptExecutionDisabled(true), chromedp.Navigate("file://"+file), emulation.SetScriptExecutionDisabled(false),
			chromedp.Text("main", &quiet), chromedp.Navigate("file://"+file))
		if err != nil {
			t.Fatal(err)
		}
		for _, barrier := range browsertest.Barriers(ctx, t) {
			t.Errorf("%d px wide: %s", wide, barrier)
		}
		if bytes.Contains(page, []byte("data-options")) && !strings.Contains(quiet, "need") && !strings.Contains(quiet, "brauchen") || !strings.Contains(quiet, "steadfall test") {
			t.Errorf("without scripts the page says %.200s", quiet)
		}
	}
}

// InBrowser opens a page in headless Chromium of a phone's size with the network blocked and
// does what is asked. It fails on any console message or request, when a chart is not drawn,
// and when the page is wider than the phone.
func InBrowser(t *testing.T, html []byte, do ...chromedp.Action) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, html, 0o644); err != nil {
		t.Fatal(err)
	}
	ctx := browsertest.Open(t, 390, 844, "")
	var drawn, wanted, wide int
	err := chromedp.Run(ctx, append([]chromedp.Action{
		network.EmulateNetworkConditions(true, 0, 0, 0),
		chromedp.Navigate("file://" + file),
		chromedp.Evaluate(`document.querySelectorAll(".drawing svg").length`, &drawn),
		chromedp.Evaluate(`document.querySelectorAll(".drawing").length`, &wanted),
		chromedp.Evaluate(`document.documentElement.scrollWidth - innerWidth`, &wide),
	}, do...)...)
	if err != nil {
		t.Fatal(err)
	}
	if drawn != wanted {
		t.Errorf("%d of %d charts are drawn", drawn, wanted)
	}
	if wide > 0 {
		t.Errorf("on a phone the page is %d px too wide", wide)
	}
}

// Content is what a reader of a page gets, a line a block: its text, the names of its
// pictures and the options of its charts.
func Content(t *testing.T, page []byte) string {
	t.Helper()
	root, err := html.ParseWithOptions(bytes.NewReader(page), html.ParseOptionEnableScripting(false))
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	var now strings.Builder
	end := func() {
		if s := strings.Join(strings.Fields(now.String()), " "); s != "" {
			lines = append(lines, s)
		}
		now.Reset()
	}
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		attr := map[string]string{}
		for _, a := range n.Attr {
			attr[a.Key] = a.Val
		}
		switch {
		case n.Type == html.TextNode:
			now.WriteString(n.Data)
			return
		case n.DataAtom == atom.Script && attr["type"] == "application/json":
			end()
			lines = append(lines, "chart "+attr["id"]+" "+thinned(t, n.FirstChild.Data))
			return
		case n.DataAtom == atom.Script || n.DataAtom == atom.Style:
			return
		case n.DataAtom == atom.Img:
			now.WriteString(" [picture: " + attr["alt"] + "]")
		case n.DataAtom == atom.Svg:
			now.WriteString(" [" + attr["class"] + "] ")
		}
		block := n.Type == html.ElementNode && !strings.Contains(" a abbr b circle ellipse em g i line path polygon polyline rect small span strong sub sup svg td text th ", " "+n.Data+" ")
		if block {
			end()
		}
		if n.DataAtom == atom.Td || n.DataAtom == atom.Th {
			now.WriteString(" | ")
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
		if block {
			end()
		}
	}
	walk(root)
	end()
	return strings.Join(lines, "\n") + "\n"
}

// thinned writes the options of a chart in one order, of long lists every 20th, of numbers
// whole ones: between machines the last digits may differ.
func thinned(t *testing.T, options string) string {
	t.Helper()
	var v any
	if err := json.Unmarshal([]byte(options), &v); err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	var put func(v any)
	put = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			var keys []string
			for k := range v {
				keys = append(keys, k)
			}
			sort.Strings(keys)
			b.WriteString("{")
			for _, k := range keys {
				b.WriteString(" " + k + ":")
				put(v[k])
			}
			b.WriteString(" }")
		case []any:
			step := 1
			if len(v) > 40 {
				step = 20
			}
			fmt.Fprintf(&b, "[%d:", len(v))
			for i := 0; i < len(v); i += step {
				b.WriteString(" ")
				put(v[i])
			}
			b.WriteString("]")
		case float64:
			fmt.Fprint(&b, math.Round(v)+0) // no −0
		default:
			fmt.Fprint(&b, v)
		}
	}
	put(v)
	return b.String()
}
