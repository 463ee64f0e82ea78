// Package athlete is the page of one athlete over the season.
package athlete

import (
	_ "embed"
	"fmt"
	"io"
	"slices"
	"strings"

	"steadfall/report"
	"steadfall/report/chart"
	"steadfall/report/squad"
	"steadfall/scoring"
)

//go:embed athlete.html
var athleteHTML string

// Page is one athlete over the season.
type Page struct {
	report.About
	Code     string
	Name     string
	Row      squad.Row
	Progress []scoring.Progress
	Jumps    []scoring.JumpSummary // of the newest session with jumps
	JumpDate string
	Decided  []DecisionRow
	Trials   []TrialRow
	Links    []report.Link // to more
}

// DecisionRow is one decision about the athlete.
type DecisionRow struct{ Date, Step, Told, Reason, By string }

// TrialRow is one trial of the athlete.
type TrialRow struct {
	ID     int64 // in the archive
	Date   string
	What   scoring.Sentence // task, leg and number
	Errors int
	Most   int
	Link   string
}

// progressMeasures are drawn, where the athlete has them; the tables hold all.
var progressMeasures = []string{"fppa_peak", "knee_flexion_peak", "landing_depth", "hold_time", "hold_path", "jump_height", "reactive_strength"}

type view struct {
	report.Head
	Page    Page
	Charts  []chart.Chart
	Tasks   []taskProgress
	Real    []scoring.Progress // that changed for real since the first session
	Stretch string
}

// Write writes an athlete's page: where they stand, what changed for real, and every
// measure over the sessions.
func Write(w io.Writer, p Page) error {
	title := p.Code
	if p.Name != "" {
		title += ", " + p.Name
	}
	s := p.Locale
	p.Progress, p.Jumps = s.Progress(p.Progress), s.Jumps(p.Jumps)
	v := view{Head: p.Head(title, report.InventedOne).WithCharts(), Page: p}
	v.Heading += " · " + p.Squad
	for _, pr := range p.Progress {
		what := s.Task(pr.Task, pr.Limb)
		i := slices.IndexFunc(v.Tasks, func(t taskProgress) bool { return t.Words == what })
		if i < 0 {
			i = len(v.Tasks)
			v.Tasks = append(v.Tasks, taskProgress{Words: what})
		}
		v.Tasks[i].Rows = append(v.Tasks[i].Rows, pr)
		if pr.SinceFirst != nil && pr.SinceFirst.Verdict == scoring.RealChange {
			v.Real = append(v.Real, pr)
		}
	}
	for i, t := range v.Tasks {
		for _, name := range progressMeasures {
			c, ok, err := progressChart(s, t, name, fmt.Sprintf("progress-%d-%s", i, strings.ReplaceAll(name, "_", "-")))
			if err != nil {
				return err
			}
			if ok {
				v.Charts = append(v.Charts, c)
			}
		}
	}
	if ratio, sd, ok := scoring.StretchGain(p.Jumps); ok {
		v.Stretch = s.PlusMinus(ratio, sd)
	}
	return report.Render(w, s, athleteHTML, v)
}
