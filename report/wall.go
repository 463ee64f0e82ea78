package report

import (
	"io"

	"steadfall/scoring"
)

// wallView is the squad without anything that athletes said of their health.
type wallView struct {
	shell
	Page     SquadPage
	Headline string
	Steps    []wallStep
	Focus    []squadCue
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

// squadCue is a cue and how many athletes it is for.
type squadCue struct {
	Cue      string
	Athletes int
}

// WriteWall writes the squad's page for the gym wall: who works on which step, who has
// earned the next one, and a cue for each. Nothing on it tells who was sent to the physio,
// who was away, or why: they stand among those who keep working.
func WriteWall(w io.Writer, p SquadPage) error {
	s := p.Locale
	v := wallView{shell: newShell(s, s.Say("On the way up: %s", p.Squad), p.Invented, p.Made, p.Tool, p.Frame), Page: p}
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
	v.Focus = squadCues(p.Rows)
	return render(w, s, "wall.html", v)
}

// squadCues are the cues that most of the squad needs, most first; that of one athlete is
// nobody else's.
func squadCues(rows []SquadRow) []squadCue {
	var out []squadCue
	for _, e := range squadErrors(rows) {
		for _, r := range rows {
			if e.Athletes > 1 && r.Error == e.Text && r.Cue != "" {
				out = append(out, squadCue{r.Cue, e.Athletes})
				break
			}
		}
	}
	return out
}
