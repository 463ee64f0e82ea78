package kinematics

import "math"

// Trial is one landing of a clip, or the landings of one set of jumps, cut out of the
// clip's track.
type Trial struct {
	Track    Track
	ContactS float64 // of its first landing, in the times of the track
}

// The times, in seconds, that part the trials of one clip. Landings closer than
// sameTrialS belong to one trial: a rebound, a set of jumps, a hop after balance is
// lost; between two trials the athlete walks back and steps up. A trial is given what
// comes before it, for the athlete standing tall, and after it, for the hold, but not
// what is nearer to another one (common practice, no source).
const (
	sameTrialS  = 2.5
	beforeS     = 4.0
	afterS      = 8.0
	betweenAway = 1.0
)

// Trials finds the landings of a track and cuts it into one track for each trial, in
// order. There is none where nobody lands; Derive says why. A snap-down has no landing
// that could tell it from others, so its track is one trial.
func Trials(t Track, opt Options) ([]Trial, error) {
	if opt.Task.Grounded() {
		if err := t.Check(); err != nil {
			return nil, err
		}
		return []Trial{{t, math.NaN()}}, nil
	}
	p, err := ready(t, opt)
	if err != nil {
		return nil, err
	}
	timed := p.track
	var groups [][]landed
	for _, l := range p.landings(p.stood.body) {
		if n := len(groups); n > 0 && l.first().timeS-last(groups[n-1]).first().timeS < sameTrialS {
			groups[n-1] = append(groups[n-1], l)
			continue
		}
		groups = append(groups, []landed{l})
	}
	var out []Trial
	for i, g := range groups {
		from, to := g[0].first().timeS-beforeS, last(g).first().timeS+afterS
		if i > 0 {
			from = math.Max(from, last(groups[i-1]).first().timeS+betweenAway)
		}
		if i+1 < len(groups) {
			to = math.Min(to, groups[i+1][0].first().timeS-betweenAway)
		}
		part := timed.between(from, to)
		cut := t.slice(part[0], part[1])
		k := (t.TimeS[len(t.TimeS)-1] - t.TimeS[0]) / (timed.TimeS[len(timed.TimeS)-1] - timed.TimeS[0])
		out = append(out, Trial{cut, t.TimeS[0] + (g[0].first().timeS-timed.TimeS[0])*k})
	}
	return out, nil
}

func last(g []landed) landed { return g[len(g)-1] }
