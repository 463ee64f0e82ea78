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
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"
	"time"

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
	Title    string
	Subtitle string // who and when; from the caller
	Made     time.Time
	Invented bool   // demo data: the page says so
	Signed   string // who stands by it and since when; empty for nobody
	Result   scoring.Result
	Pictures []Picture
}

// Write writes the page.
func Write(w io.Writer, p Page) error {
	v, err := newView(p)
	if err != nil {
		return err
	}
	return render(w, "page.html", v)
}

// render fills in a page's template. A failure leaves no half page.
func render(w io.Writer, name string, v any) error {
	t, err := template.New(name).Funcs(funcs).ParseFS(assets, "assets/"+name, "assets/parts.html")
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

func newShell(title string, invented bool, made time.Time, tool string, f Frame) shell {
	return shell{Lang: "en", Title: title, Invented: invented, Made: made, Tool: tool, Style: Style(), Frame: f}
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
	v := view{shell: newShell(p.Title, p.Invented, p.Made, p.Result.Tool, p.Frame).withCharts(), Page: p}
	var err error
	if v.Charts, err = chartsOf(p.Result); err != nil {
		return v, err
	}
	v.Albums = albums("", p.Result.Views, p.Pictures)
	v.Headline, v.Range = headline(p.Result.Score)
	v.Groups = grouped(p.Result.Score, v.Albums)
	v.Cues = cues(p.Result.Score)
	v.Legs = measureRows(p.Result)
	v.Jump = jumpLines(p.Result)
	return v, nil
}

// headline is the answer in one line, and how sure the total is in another.
func headline(s scoring.Score) (line, total string) {
	n := map[scoring.Verdict]int{}
	for _, f := range s.Items {
		n[f.Finding]++
	}
	seen := n[scoring.Clear] + n[scoring.Error] + n[scoring.TooClose]
	if seen == 0 {
		return "Nothing could be scored", "See below what was not seen and why."
	}
	switch n[scoring.Error] {
	case 0:
		line = "No sure error"
	case 1:
		line = "1 sure error"
	default:
		line = fmt.Sprintf("%d sure errors", n[scoring.Error])
	}
	line += fmt.Sprintf(" in %s seen", count(seen, "item"))
	if k := n[scoring.TooClose]; k > 0 {
		line += fmt.Sprintf(", %d too close to call", k)
	}
	return line, fmt.Sprintf("Expected total %.1f of %d points; 9 times in 10 between %d and %d.", s.Expected, s.Most, s.Low, s.High)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
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
func grouped(s scoring.Score, pictures []album) []group {
	var out []group
	for _, v := range verdicts {
		g := group{Verdict: v, Word: verdictWords[v]}
		for _, f := range s.Items {
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
func cues(s scoring.Score) []string {
	var out []string
	for _, f := range worst(s) {
		out = append(out, f.Cue)
	}
	return out
}

// jumpLines say how high the jump was, how that is known, and whether it counts.
func jumpLines(r scoring.Result) []string {
	if !r.Task.Jumps() {
		return nil
	}
	var out []string
	say := func(name, format string) {
		if m, ok := r.Surest(name); ok {
			out = append(out, fmt.Sprintf(format, plusMinus(m.Value, m.SD)+unit(m.Unit)))
		}
	}
	say("jump_height", "%s high, from the time in the air.")
	say("posture_bias", "Of that, %s comes from landing lower than the take-off was.")
	say("hip_rise", "By the hips alone: %s.")
	say("contact_time", "On the ground for %s.")
	say("reactive_strength", "Reactive strength %s.")
	say("countermovement_depth", "Sank %s before the push.")
	say("height_fade", "From the first third of the jumps to the last, %s of the height was lost.")
	if j := r.Jump; j != nil {
		word := map[scoring.Verdict]string{scoring.Clear: "A valid squat jump", scoring.Error: "Not a valid squat jump", scoring.TooClose: "Too close to call whether this is a valid squat jump", scoring.NotSeen: "Whether this is a valid squat jump was not seen"}[j.Finding]
		out = append([]string{word + ": " + j.Why + "."}, out...)
	}
	return out
}

func measureRows(r scoring.Result) []measureRow {
	var out []measureRow
	at := map[string]int{}
	for i := range r.Measures {
		m := &r.Measures[i]
		key := string(m.View) + m.Name
		if _, ok := at[key]; !ok {
			about, _ := kinematics.Describe(m.Name)
			at[key] = len(out)
			first := len(out) == 0 || out[len(out)-1].View != m.View
			out = append(out, measureRow{Words: about.Words, Unit: m.Unit, View: m.View, First: first})
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

var funcs = template.FuncMap{
	"pm": func(m *kinematics.Measure) string {
		if m == nil {
			return ""
		}
		s := plusMinus(m.Value, m.SD)
		if m.AtLeast {
			s = "at least " + s
		}
		return s
	},
	"diff": func(d *scoring.LimbDifference) string {
		if d == nil {
			return ""
		}
		return plusMinus(d.Value, d.SD)
	},
	"verdict": VerdictWords,
	"counted": count,
	"pmOf":    plusMinus,
	"unitOf":  unit,
	"task":    TaskWords,
	"earned":  func(e scoring.Earned) string { return earnedWords[e] },
	"last":    func(s []scoring.SessionMean) scoring.SessionMean { return s[len(s)-1] },
	"signed": func(c *scoring.Change) string {
		s := plusMinus(c.Value, c.SD)
		if c.Value > 0 {
			s = "+" + s
		}
		return s
	},
	"num":   func(v, sd float64) string { return number(v, sd) },
	"minor": scoring.Minor,
	"words": func(name string) string {
		about, _ := kinematics.Describe(name)
		return about.Words
	},
	"value": FindingNumber,
	"threshold": func(f scoring.Finding) string {
		return "error " + f.ErrorWhen + " " + strings.Replace(fmt.Sprintf("%g", *f.Threshold), "-", "−", 1) + unit(f.Unit)
	},
	"percent": func(p *float64) string {
		switch {
		case *p > 0.995:
			return "over 99 %"
		case *p < 0.005:
			return "under 1 %"
		}
		return fmt.Sprintf("%.0f %%", 100**p)
	},
	"unit": func(u string) string {
		switch u {
		case "deg":
			return "°"
		case "–":
			return ""
		}
		return u
	},
	"leg": func(s kinematics.Side) string {
		if s == kinematics.Both {
			return ""
		}
		return string(s) + " leg"
	},
	"viewWords": viewWords,
	"scaleFrom": scaleFrom,
	"viewSeen":  func(v kinematics.View) string { return strings.ToLower(viewWords(v)) },
	"jpeg": func(b []byte) template.URL {
		return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(b))
	},
	"mp4": func(b []byte) template.URL {
		return template.URL("data:video/mp4;base64," + base64.StdEncoding.EncodeToString(b))
	},
	"seconds":   func(v float64) string { return strings.Replace(fmt.Sprintf("%.3f", v), "-", "−", 1) },
	"fixed1":    func(v float64) string { return strings.Replace(fmt.Sprintf("%.1f", v), "-", "−", 1) },
	"fixed2":    func(v float64) string { return strings.Replace(fmt.Sprintf("%.2f", v), "-", "−", 1) },
	"percentOf": func(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) },
	"rest":      func(v float64) float64 { return 1 - v },
	"kappa": func(v float64) string {
		if math.IsNaN(v) {
			return "–"
		}
		return fmt.Sprintf("%.2f", v)
	},
	"fixed3": func(v float64) string { return fmt.Sprintf("%.3f", v) },
	"date":   func(t time.Time) string { return t.Format("2 January 2006") },
	"event": func(e kinematics.EventName) string {
		return strings.ReplaceAll(string(e), "_", " ")
	},
	"now":        now,
	"verdicts":   func() []scoring.Verdict { return verdicts },
	"holdLimits": func() string { return kinematics.HoldLimits },
	"trialsRule": func() string { return scoring.TrialsRule },
}
