package pipeline

import (
	"fmt"
	"strings"

	"steadfall/internal/notes"
	"steadfall/kinematics"
)

// seen is one view after tracking, with each landing found in it.
type seen struct {
	source Source
	placed placed
	trials []kinematics.Trial
}

// find finds the landings of a track. Where there is none, the whole track stands for one, so
// that measuring it says why.
func (r Request) find(s Source, p placed) (seen, error) {
	trials, err := kinematics.Trials(p.track, r.options(s, p))
	if err != nil {
		return seen{}, p.explain(s.name(), err)
	}
	if len(trials) == 0 {
		trials = []kinematics.Trial{{Track: p.track}}
	}
	return seen{s, p, trials}, nil
}

// chosen is which landings are scored, counted from 0.
func (r Request) chosen(views []seen) (which []int, err error) {
	first := views[0]
	for _, v := range views {
		n := len(v.trials)
		if r.Landing > n {
			return nil, notes.Refuse(notes.NoSuchLanding, "", v.source.name(), v.times(), float64(r.Landing))
		}
		if r.Landing == 0 && n != len(first.trials) {
			return nil, notes.Refuse(notes.LandingsDiffer, notes.CutAlike, first.source.name(), first.times(), v.source.name(), v.times())
		}
	}
	if r.Landing > 0 {
		return []int{r.Landing - 1}, nil
	}
	for n := range first.trials {
		which = append(which, n)
	}
	return which, nil
}

// times names the landings of a view by when they happen.
func (v seen) times() string {
	var at []string
	for _, t := range v.trials {
		at = append(at, fmt.Sprintf("%.2f s", t.ContactS))
	}
	if len(at) == 1 {
		return "one landing (at " + at[0] + ")"
	}
	return fmt.Sprintf("%d landings (at %s)", len(at), strings.Join(at, ", "))
}

// measured is one landing in each view.
func (r Request) measured(views []seen, n int) ([]kinematics.Landing, error) {
	var out []kinematics.Landing
	for _, v := range views {
		l, err := kinematics.Derive(v.trials[n].Track, r.options(v.source, v.placed))
		if err != nil {
			return nil, v.placed.explain(v.source.name(), err)
		}
		out = append(out, l)
	}
	return out, nil
}
