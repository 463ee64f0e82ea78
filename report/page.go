// Package report writes a scored trial as one self-contained HTML page: no request
// leaves it, it prints on A4 and reads without JavaScript. Numbers, findings and
// pictures are plain HTML; the charts are the extra.
//
// go-echarts is used as a builder of chart options only; the page inlines the
// options as JSON and one pinned build of echarts (assets/echarts).
package report

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"time"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

//go:embed assets
var assets embed.FS

// Frame is what a page stands in where it is served and not saved: a way to other pages
// above it, and forms below.
type Frame struct{ Top, Bottom template.HTML }

// Style is the look of all pages, for pages made elsewhere.
func Style() template.CSS { return template.CSS(asset("style.css")) }

// Page is everything a report shows.
type Page struct {
	Frame    Frame
	Who      string           // whose landing it is; may be empty
	Subtitle scoring.Sentence // which landing; from the caller
	Made     time.Time
	Invented bool   // demo data: the page says so
	Signed   string // who stands by it and since when; empty for nobody
	Result   scoring.Result
	Pictures []Picture
	Locale   locale.Locale
}

// Write writes the page.
func Write(w io.Writer, p Page) error {
	v, err := newView(p)
	if err != nil {
		return err
	}
	return render(w, p.Locale, "page.html", v)
}

// render fills in a page's template in a language. A failure leaves no half page.
func render(w io.Writer, loc locale.Locale, name string, v any) error {
	t, err := template.New(name).Funcs(funcs(loc)).ParseFS(assets, "assets/"+name, "assets/parts.html")
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		return fmt.Errorf("the page could not be made: %w", err)
	}
	_, err = w.Write(b.Bytes())
	return err
}

// shell is what every page carries.
type shell struct {
	Lang     string // BCP 47
	Title    string
	Invented bool // the page says that nobody in it is real
	Made     time.Time
	Tool     string
	Style    template.CSS
	Library  template.JS // the chart library; empty on pages without charts
	Boot     template.JS
	Frame    Frame
}

func newShell(loc locale.Locale, title string, invented bool, made time.Time, tool string, f Frame) shell {
	return shell{Lang: loc.Tag(), Title: title, Invented: invented, Made: made, Tool: tool, Style: Style(), Frame: f}
}

// withCharts adds what draws charts.
func (s shell) withCharts() shell {
	s.Boot, s.Library = template.JS(asset("boot.js")), template.JS(asset("echarts/echarts.common.min.js"))
	return s
}

func asset(name string) string {
	data, err := assets.ReadFile("assets/" + name)
	if err != nil {
		panic("report: missing asset " + name) // embedded at build time
	}
	return string(data)
}

// view is the page in the words and order that the template shows.
type view struct {
	shell
	Page     Page
	Charts   []chart
	Headline string
	Range    string
	Cues     []string
	Groups   []group
	Legs     []measureRow
	Albums   []album
	Jump     []string // what is said of the jump, a line each
}

// group is the findings of one verdict.
type group struct {
	Verdict scoring.Verdict
	Word    string
	Items   []shownFinding
}

// shownFinding is a finding with the anchor of the picture nearest to its frame; empty where
// there is none.
type shownFinding struct {
	scoring.Finding
	Still string
}

// measureRow is one measure with both legs side by side.
type measureRow struct {
	Words             string
	Unit              string
	View              kinematics.View
	First             bool // of its view
	Left, Right, Both *kinematics.Measure
	Diff              *scoring.LimbDifference
}

func newView(p Page) (view, error) {
	s := p.Locale
	title := s.Say("Landing report")
	if p.Who != "" {
		title = s.Say("Landing report: %s", p.Who)
	}
	p.Result = s.Result(p.Result)
	v := view{shell: newShell(s, title, p.Invented, p.Made, p.Result.Tool, p.Frame).withCharts(), Page: p}
	var err error
	if v.Charts, err = chartsOf(s, p.Result); err != nil {
		return v, err
	}
	v.Albums = albums(s, "", p.Result.Views, p.Pictures)
	v.Headline, v.Range = headline(s, p.Result.Score)
	v.Groups = grouped(s, p.Result.Score, v.Albums)
	v.Cues = cues(s, p.Result.Score)
	v.Legs = measureRows(s, p.Result)
	v.Jump = jumpLines(s, p.Result)
	return v, nil
}

// headline is the answer in one line, and how sure the total is in another.
func headline(loc locale.Locale, of scoring.Score) (line, total string) {
	n := map[scoring.Verdict]int{}
	for _, f := range of.Items {
		n[f.Finding]++
	}
	seen := n[scoring.Clear] + n[scoring.Error] + n[scoring.TooClose]
	if seen == 0 {
		return loc.Say("Nothing could be scored"), loc.Say("See below what was not seen and why.")
	}
	errors := loc.Say("No sure error")
	if k := n[scoring.Error]; k > 0 {
		errors = loc.Count(k, "sure error")
	}
	line = loc.Say("%s in %s seen", errors, loc.Count(seen, "item"))
	if k := n[scoring.TooClose]; k > 0 {
		line = loc.Say("%s, %d too close to call", line, k)
	}
	return line, loc.Say("Expected total %s of %d points; 9 times in 10 between %d and %d.", loc.Fixed(1, of.Expected), of.Most, of.Low, of.High)
}

// grouped puts what needs the reader's eye first.
func grouped(loc locale.Locale, of scoring.Score, pictures []album) []group {
	var out []group
	for _, v := range locale.Verdicts {
		g := group{Verdict: v, Word: loc.Verdict(v)}
		for _, f := range of.Items {
			if f.Finding == v {
				g.Items = append(g.Items, shownFinding{f, nearestStill(f, pictures)})
			}
		}
		if len(g.Items) > 0 {
			out = append(out, g)
		}
	}
	return out
}

// cues are what to tell the athlete.
func cues(loc locale.Locale, of scoring.Score) []string {
	var out []string
	for _, f := range worst(of) {
		out = append(out, loc.Say(f.Cue))
	}
	return out
}

// validity says whether a squat jump was one.
var validity = map[scoring.Verdict]string{
	scoring.Clear: locale.Message("A valid squat jump"), scoring.Error: locale.Message("Not a valid squat jump"),
	scoring.TooClose: locale.Message("Too close to call whether this is a valid squat jump"), scoring.NotSeen: locale.Message("Whether this is a valid squat jump was not seen"),
}

// jumpSentences are what is said of a jump's measures, in their order.
var jumpSentences = []struct{ measure, words string }{
	{"jump_height", locale.Message("%s high, from the time in the air.")},
	{"posture_bias", locale.Message("Of that, %s comes from landing lower than the take-off was.")},
	{"hip_rise", locale.Message("By the hips alone: %s.")},
	{"contact_time", locale.Message("On the ground for %s.")},
	{"reactive_strength", locale.Message("Reactive strength %s.")},
	{"countermovement_depth", locale.Message("Sank %s before the push.")},
	{"height_fade", locale.Message("From the first third of the jumps to the last, %s of the height was lost.")},
}

// jumpLines say how high the jump was, how that is known, and whether it counts.
func jumpLines(loc locale.Locale, r scoring.Result) []string {
	if !r.Task.Jumps() {
		return nil
	}
	var out []string
	for _, of := range jumpSentences {
		if m, ok := r.Surest(of.measure); ok {
			out = append(out, loc.Say(of.words, loc.PlusMinus(m.Value, m.SD)+locale.Unit(m.Unit)))
		}
	}
	if j := r.Jump; j != nil {
		out = append([]string{loc.Say(validity[j.Finding]) + ": " + loc.Say(j.Why) + "."}, out...)
	}
	return out
}

func measureRows(loc locale.Locale, r scoring.Result) []measureRow {
	var out []measureRow
	at := map[string]int{}
	for i := range r.Measures {
		m := &r.Measures[i]
		key := string(m.View) + m.Name
		if _, ok := at[key]; !ok {
			at[key] = len(out)
			first := len(out) == 0 || out[len(out)-1].View != m.View
			out = append(out, measureRow{Words: loc.MeasureWords(m.Name), Unit: m.Unit, View: m.View, First: first})
		}
		row := &out[at[key]]
		switch m.Side {
		case kinematics.Left:
			row.Left = m
		case kinematics.Right:
			row.Right = m
		default:
			row.Both = m
		}
	}
	for i := range r.Limbs {
		d := &r.Limbs[i]
		if j, ok := at[string(d.View)+d.Name]; ok {
			out[j].Diff = d
		}
	}
	return out
}
