// Package report is what every page is made of: a self-contained HTML page that makes no
// request, prints on A4 and reads without JavaScript. Numbers, findings and pictures are plain
// HTML; the charts are the extra. Each page has a folder of its own below this one.
package report

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"time"

	"steadfall/report/locale"
)

//go:embed assets
var assets embed.FS

// Frame is what a page stands in where it is served and not saved: a way to other pages
// above it, and forms below.
type Frame struct{ Top, Bottom template.HTML }

// Link leads to another page.
type Link struct {
	Date  string // said before the words; may be empty
	Words string
	To    string
}

// About is what every page is told of itself by those who gather it.
type About struct {
	Frame    Frame
	Squad    string // may be empty
	Invented bool   // nobody in it is real: the page says so
	Made     time.Time
	Tool     string // what measured it
	Locale   locale.Locale
}

// Head is what the templates of every page need: what "top" and "end" write around it.
type Head struct {
	Lang    string // BCP 47
	Title   string
	Heading string // the title, where nothing else is said
	Class   string // of the page; empty for the usual
	Banner  string // says that nobody in it is real; empty where they are
	Made    time.Time
	Tool    string
	Style   template.CSS
	Library template.JS // the chart library; empty on pages without charts
	Boot    template.JS
	Frame   Frame
}

// The banners of invented pages.
var (
	InventedSquad = locale.Message("This is a demo. The squad and everybody in it are invented; the movements are simulated or rendered.")
	InventedOne   = locale.Message("This is a demo. The athlete and the squad are invented; the movements are simulated or rendered.")
)

// Head begins a page; banner is what it says where its people are invented.
func (a About) Head(title, banner string) Head {
	h := Head{Lang: a.Locale.Tag(), Title: title, Heading: title, Made: a.Made, Tool: a.Tool, Style: Style(), Frame: a.Frame}
	if a.Invented {
		h.Banner = a.Locale.Say(banner)
	}
	return h
}

// WithCharts adds what draws charts.
func (h Head) WithCharts() Head {
	h.Boot, h.Library = template.JS(asset("boot.js")), template.JS(asset("echarts/echarts.common.min.js"))
	return h
}

// Style is the look of all pages, for pages made elsewhere.
func Style() template.CSS { return template.CSS(asset("style.css")) }

func asset(name string) string {
	data, err := assets.ReadFile("assets/" + name)
	if err != nil {
		panic("report: missing asset " + name) // embedded at build time
	}
	return string(data)
}

// Render fills in a page's template in a language; v embeds a Head. A failure leaves no half
// page.
func Render(w io.Writer, loc locale.Locale, page string, v any) error {
	t, err := template.New("page").Funcs(funcs(loc)).ParseFS(assets, "assets/parts.html")
	if err != nil {
		return err
	}
	if t, err = t.Parse(page); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		return fmt.Errorf("the page could not be made: %w", err)
	}
	_, err = w.Write(b.Bytes())
	return err
}
