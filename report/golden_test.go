package report_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
	"golang.org/x/text/language"

	"steadfall/internal/testkit/browsertest"
	"steadfall/report"
	"steadfall/report/locale"
)

var update = flag.Bool("update", false, "write the golden files anew")

// allPages are the pages of invented people, by name.
func allPages(t *testing.T) map[string]func() []byte {
	t.Helper()
	pages := pagesIn(t, locale.Locale{})
	pages["sheet-de"] = pagesIn(t, locale.Locale{Language: language.German})["sheet"]
	pages["physio-de-inches"] = pagesIn(t, locale.Locale{Language: language.German, Imperial: true})["physio"]
	return pages
}

// pagesIn are the pages in a language.
func pagesIn(t *testing.T, s locale.Locale) map[string]func() []byte {
	t.Helper()
	write := func(f func(b *bytes.Buffer) error) func() []byte {
		return func() []byte {
			var b bytes.Buffer
			if err := f(&b); err != nil {
				t.Fatal(err)
			}
			return b.Bytes()
		}
	}
	return map[string]func() []byte{
		"trial": write(func(b *bytes.Buffer) error {
			p := trialPage(t)
			p.Locale = s
			return report.Write(b, p)
		}),
		"sheet": write(func(b *bytes.Buffer) error {
			p := sheet(t)
			p.Locale = s
			return report.WriteSheet(b, p)
		}),
		"physio": write(func(b *bytes.Buffer) error {
			p := physioPage(t)
			p.Locale = s
			return report.WritePhysio(b, p)
		}),
		"squad": write(func(b *bytes.Buffer) error {
			p := squadPage(t)
			p.Locale = s
			return report.WriteSquad(b, p)
		}),
		"wall": write(func(b *bytes.Buffer) error {
			p := squadPage(t)
			p.Locale = s
			return report.WriteWall(b, p)
		}),
		"athlete": write(func(b *bytes.Buffer) error {
			p := athletePage(t)
			p.Locale = s
			return report.WriteAthlete(b, p)
		}),
	}
}

// Nothing that a page says of itself is outside the files of messages: in a language that
// puts brackets around every message no other words are left but those of people and files,
// and what stands as English, such as sources and the reasons of the measuring.
func TestWordsAreMessages(t *testing.T) {
	english := regexp.MustCompile(`<span lang="en">[^<]*</span>`)
	named := regexp.MustCompile(`(?:aria-label|placeholder|data-leg|alt)="([^"]*)"`)
	message, word := regexp.MustCompile(`⟦[^⟦⟧]*⟧`), regexp.MustCompile(`\pL{3,}`)
	theirs := strings.NewReplacer(hostile, "", "</script><script>document.title='taken'</script>", "", "09:00 first", "", "09:01 second", "", "Larkfield Lanterns", "", "Ash", "", "Birch", "", "Cedar", "", "Dogwood", "", "Elm", "",
		"Coach", "", "Physio", "", "Rowan", "", "steadfall test", "", "[mark]", "", "[overlay]", "", "[cuefig]", "", "[trace]", "", "[picture: ", "", "=ill", "", " Sep", "")
	for name, make := range pagesIn(t, locale.Pseudo()) {
		page := english.ReplaceAll(make(), nil)
		lines := strings.Split(content(t, page), "\n")
		for _, m := range named.FindAllSubmatch(page, -1) {
			lines = append(lines, html.UnescapeString(string(m[1])))
		}
		for _, line := range lines {
			rest := theirs.Replace(line)
			for message.MatchString(rest) {
				rest = message.ReplaceAllString(rest, "")
			}
			if word.MatchString(rest) && !strings.HasPrefix(line, "chart ") {
				t.Errorf("%s: %s", name, line)
			}
		}
	}
}

// Every page says what it said: its words, and the options of its charts thinned and rounded.
// go test ./report -run Golden -update writes the files anew; read the difference.
func TestGoldenPages(t *testing.T) {
	for name, make := range allPages(t) {
		t.Run(name, func(t *testing.T) {
			p := make()
			if again := make(); !bytes.Equal(p, again) {
				t.Error("two runs gave two pages")
			}
			got := content(t, p)
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
		})
	}
}

// No page has a barrier that axe finds, on a phone or on a desktop, and with scripts off its
// words stand all the same.
func TestPagesForEverybody(t *testing.T) {
	ctx := browsertest.Open(t, 390, 844, "")
	for name, make := range allPages(t) {
		t.Run(name, func(t *testing.T) {
			p := make()
			file := filepath.Join(t.TempDir(), "page.html")
			if err := os.WriteFile(file, p, 0o644); err != nil {
				t.Fatal(err)
			}
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
				if bytes.Contains(p, []byte("data-options")) && !strings.Contains(quiet, "need") && !strings.Contains(quiet, "brauchen") || !strings.Contains(quiet, "steadfall test") {
					t.Errorf("without scripts the page says %.200s", quiet)
				}
			}
		})
	}
}

// content is what a reader of a page gets, a line a block: its text, the names of its
// pictures and the options of its charts.
func content(t *testing.T, page []byte) string {
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
