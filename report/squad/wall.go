package squad

import (
	_ "embed"
	"io"

	"steadfall/report"
	"steadfall/scoring"
)

//go:embed wall.html
var wallHTML string

// wallView is the squad without anything that athletes said of their health.
type wallView struct {
	report.Head
	Page     Page
	Headline string
	Steps    []wallStep
	Focus    []commonCue
}

// wallStep is who works on a step of the ladder.
type wallStep struct {
	Title string
	Rows  []wallRow
}

// wallRow is one athlete on the wall.
type wallRow struct {
	Who   string
	Ready bool
	Cue   string
}

// commonCue is a cue and how many athletes it is for.
type commonCue struct {
	Cue      string
	Athletes int
}

// WriteWall writes the squad's page for the gym wall: who works on which step, who has
// earned the next one, and a cue for each. Nothing on it tells who was sent to the physio,
// who was away, or why: they stand among those who keep working.
func WriteWall(w io.Writer, p Page) error {
	s := p.Locale
	v := wallView{Head: p.Head(s.Say("On the way up: %s", p.Squad), report.InventedSquad), Page: p}
	v.Class, v.Heading = "wall", s.Say("%s: landing ladder", p.Squad)
	if p.Newest != "" {
		v.Heading += ", " + p.Newest
	}
	ready := 0
	titles := map[string]string{"": s.Say("Every step is done")}
	ids := []string{}
	for _, of := range p.Ladder.Steps {
		ids, titles[of.ID] = append(ids, of.ID), s.Say(of.Title)
	}
	for _, id := range append(ids, "") {
		step := wallStep{Title: titles[id]}
		for _, r := range p.Rows {
			if r.Standing.Step != id {
				continue
			}
			row := wallRow{Who: r.Code, Cue: r.Cue, Ready: len(r.Standing.Physio) == 0 && r.Standing.Verdict == scoring.Ready}
			if r.Name != "" {
				row.Who = r.Name
			}
			if row.Ready {
				ready++
			}
			step.Rows = append(step.Rows, row)
		}
		if len(step.Rows) > 0 {
			v.Steps = append(v.Steps, step)
		}
	}
	v.Headline = s.Say("%s ready for the next step", s.Count(ready, "athlete"))
	if ready == 0 {
		v.Headline = s.Say("Keep landing")
	}
	v.Focus = commonCues(p.Rows)
	return report.Render(w, s, wallHTML, v)
}

// commonCues are the cues that most of the squad needs, most first; that of one athlete is
// nobody else's.
func commonCues(rows []Row) []commonCue {
	var out []commonCue
	for _, e := range commonErrors(rows) {
		for _, r := range rows {
			if e.Athletes > 1 && r.Error == e.Text && r.Cue != "" {
				out = append(out, commonCue{r.Cue, e.Athletes})
				break
			}
		}
	}
	return out
}
