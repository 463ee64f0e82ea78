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
	"math"
	"strings"
	"time"

	"golang.org/x/text/language"

	"steadfall/kinematics"
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
	Speech   Speech
}

// Write writes the page.
func Write(w io.Writer, p Page) error {
	v, err := newView(p)
	if err != nil {
		return err
	}
	return render(w, p.Speech, "page.html", v)
}

// render fills in a page's template in a language. A failure leaves no half page.
func render(w io.Writer, s Speech, name string, v any) error {
	t, err := template.New(name).Funcs(s.funcs()).ParseFS(assets, "assets/"+name, "assets/parts.html")
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

func newShell(s Speech, title string, invented bool, made time.Time, tool string, f Frame) shell {
	lang := language.English
	if s.Language != language.Und {
		lang = s.Language
	}
	return shell{Lang: lang.String(), Title: title, Invented: invented, Made: made, Tool: tool, Style: Style(), Frame: f}
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
	s := p.Speech
	title := s.Say("Landing report")
	if p.Who != "" {
		title = s.Say("Landing report: %s", p.Who)
	}
	p.Result = s.result(p.Result)
	v := view{shell: newShell(s, title, p.Invented, p.Made, p.Result.Tool, p.Frame).withCharts(), Page: p}
	var err error
	if v.Charts, err = chartsOf(s, p.Result); err != nil {
		return v, err
	}
	v.Albums = albums(s, "", p.Result.Views, p.Pictures)
	v.Headline, v.Range = s.headline(p.Result.Score)
	v.Groups = s.grouped(p.Result.Score, v.Albums)
	v.Cues = s.cues(p.Result.Score)
	v.Legs = s.measureRows(p.Result)
	v.Jump = s.jumpLines(p.Result)
	return v, nil
}

// headline is the answer in one line, and how sure the total is in another.
func (s Speech) headline(of scoring.Score) (line, total string) {
	n := map[scoring.Verdict]int{}
	for _, f := range of.Items {
		n[f.Finding]++
	}
	seen := n[scoring.Clear] + n[scoring.Error] + n[scoring.TooClose]
	if seen == 0 {
		return s.Say("Nothing could be scored"), s.Say("See below what was not seen and why.")
	}
	errors := s.Say("No sure error")
	if k := n[scoring.Error]; k > 0 {
		errors = s.count(k, "sure error")
	}
	line = s.Say("%s in %s seen", errors, s.count(seen, "item"))
	if k := n[scoring.TooClose]; k > 0 {
		line = s.Say("%s, %d too close to call", line, k)
	}
	return line, s.Say("Expected total %s of %d points; 9 times in 10 between %d and %d.", s.fixed(1, of.Expected), of.Most, of.Low, of.High)
}

var verdictWords = map[scoring.Verdict]string{
	scoring.Error: "Error", scoring.TooClose: "Too close to call", scoring.Clear: "Clear",
	scoring.NotSeen: "Not seen", scoring.ForRater: "For a person to judge",
}

// verdicts are in the order of what needs the reader's eye first.
var verdicts = []scoring.Verdict{scoring.Error, scoring.TooClose, scoring.Clear, scoring.NotSeen, scoring.ForRater}

// VerdictWords is a verdict in lower-case words.
func VerdictWords(v scoring.Verdict) string { return strings.ToLower(verdictWords[v]) }

// FindingNumber is what a finding was measured to be, with ± and unit; empty where it was
// not measured.
func FindingNumber(f scoring.Finding) string {
	if f.Value == nil || f.SD == nil {
		return ""
	}
	return plusMinus(*f.Value, *f.SD) + unit(f.Unit)
}

// grouped puts what needs the reader's eye first.
func (s Speech) grouped(of scoring.Score, pictures []album) []group {
	var out []group
	for _, v := range verdicts {
		g := group{Verdict: v, Word: s.Say(verdictWords[v])}
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
func (s Speech) cues(of scoring.Score) []string {
	var out []string
	for _, f := range worst(of) {
		out = append(out, s.Say(f.Cue))
	}
	return out
}

// validity says whether a squat jump was one.
var validity = map[scoring.Verdict]string{
	scoring.Clear: "A valid squat jump", scoring.Error: "Not a valid squat jump",
	scoring.TooClose: "Too close to call whether this is a valid squat jump", scoring.NotSeen: "Whether this is a valid squat jump was not seen",
}

// jumpSentences are what is said of a jump's measures, in their order.
var jumpSentences = []struct{ measure, words string }{
	{"jump_height", "%s high, from the time in the air."},
	{"posture_bias", "Of that, %s comes from landing lower than the take-off was."},
	{"hip_rise", "By the hips alone: %s."},
	{"contact_time", "On the ground for %s."},
	{"reactive_strength", "Reactive strength %s."},
	{"countermovement_depth", "Sank %s before the push."},
	{"height_fade", "From the first third of the jumps to the last, %s of the height was lost."},
}

// jumpLines say how high the jump was, how that is known, and whether it counts.
func (s Speech) jumpLines(r scoring.Result) []string {
	if !r.Task.Jumps() {
		return nil
	}
	var out []string
	for _, of := range jumpSentences {
		if m, ok := r.Surest(of.measure); ok {
			out = append(out, s.Say(of.words, s.plusMinus(m.Value, m.SD)+unit(m.Unit)))
		}
	}
	if j := r.Jump; j != nil {
		out = append([]string{s.Say(validity[j.Finding]) + ": " + s.Say(j.Why) + "."}, out...)
	}
	return out
}

func (s Speech) measureRows(r scoring.Result) []measureRow {
	var out []measureRow
	at := map[string]int{}
	for i := range r.Measures {
		m := &r.Measures[i]
		key := string(m.View) + m.Name
		if _, ok := at[key]; !ok {
			at[key] = len(out)
			first := len(out) == 0 || out[len(out)-1].View != m.View
			out = append(out, measureRow{Words: s.words(m.Name), Unit: m.Unit, View: m.View, First: first})
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

// scaleFrom says in words where a scale came from.
func scaleFrom(f kinematics.ScaleFrom) string {
	switch f {
	case kinematics.FromLength:
		return "a known length"
	case kinematics.FromHeight:
		return "the athlete's height"
	}
	return "the fall, since bodies fall at 9.81 m/s²"
}

func viewWords(v kinematics.View) string {
	switch v {
	case kinematics.SideLeft:
		return "From the athlete's left"
	case kinematics.SideRight:
		return "From the athlete's right"
	}
	return "From the front"
}

// number prints a value to as many digits as its standard deviation leaves, and
// at least two significant ones.
func number(v, sd float64) string {
	digits := 0
	if sd > 0 {
		digits = min(max(1-int(math.Floor(math.Log10(sd))), 0), 3)
	}
	s := fmt.Sprintf("%.*f", digits, v)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// plusMinus prints a value with its standard deviation.
func plusMinus(v, sd float64) string { return number(v, sd) + " ± " + number(sd, sd) }

// unit is how a unit is printed behind a number.
func unit(u string) string {
	switch u {
	case "deg":
		return "°"
	case "–":
		return ""
	}
	return "\u00a0" + u
}
