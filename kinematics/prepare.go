package kinematics

import "math"

// prepared is a track made ready to be measured: on one grid, by one filter, with a first look at how
// tall the athlete stands.
type prepared struct {
	*motion
	opt   Options
	track Track // as a camera held upright would have filmed it, at true speed and not in a mirror
	notes []Note
	stood standing // without knowing when the landing is, so good for thresholds only
}

// prepare checks a track and makes it ready. Its error is a *TrackError, or one of Check. The track
// is there even with an error, as far as it was brought.
func prepare(t Track, opt Options) (p prepared, err error) {
	p.opt = opt
	if err := t.Check(); err != nil {
		return p, err
	}
	if p.track, p.notes, err = plausible(t.as(opt)); err != nil {
		return p, err
	}
	if p.motion, err = newMotion(p.track); err != nil {
		return p, err
	}
	p.stood, err = p.stand(math.Inf(1), p.time(p.n-1))
	return p, err
}
