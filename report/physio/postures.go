package physio

import (
	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// Posture is where the joints were at one moment of a landing: cm from the middle between
// the ankles at contact, x to the right of the picture, or forwards from the side, y up.
type Posture struct {
	View   kinematics.View
	Moment string
	CM     map[kinematics.Landmark][2]float64
}

// postureMoments are the moments that are laid over one another.
var postureMoments = []struct {
	word  string
	event kinematics.EventName
}{{locale.Message("contact"), kinematics.InitialContact}, {locale.Message("deepest"), kinematics.Lowest}, {locale.Message("still"), kinematics.StillFrom}}

// NewPostures reads the postures of a view from its track. There are none where the scale
// or the ankles at contact are not known.
func NewPostures(t kinematics.Track, v scoring.ViewResult) []Posture {
	if v.Scale == nil {
		return nil
	}
	var out []Posture
	var foot [2]float64
	for k, m := range postureMoments {
		px, ok := pointsAt(t, v, m.event)
		if k == 0 {
			if ok {
				foot, ok = anklesOf(px)
			}
			if !ok {
				return nil
			}
		}
		if !ok {
			continue
		}
		ahead := v.Scale.CMPerPx
		if v.View == kinematics.SideLeft { // who shows the left side faces the left of the picture
			ahead = -ahead
		}
		p := Posture{v.View, m.word, map[kinematics.Landmark][2]float64{}}
		for l, q := range px {
			p.CM[l] = [2]float64{ahead * (q[0] - foot[0]), -v.Scale.CMPerPx * (q[1] - foot[1])}
		}
		out = append(out, p)
	}
	return out
}

// pointsAt are the points of a track at an event, px.
func pointsAt(t kinematics.Track, v scoring.ViewResult, name kinematics.EventName) (map[kinematics.Landmark][2]float64, bool) {
	for _, e := range v.Events {
		if e.Name != name {
			continue
		}
		for i, n := range t.Frame {
			if n != e.Frame {
				continue
			}
			out := map[kinematics.Landmark][2]float64{}
			for _, l := range kinematics.Landmarks() {
				if p := t.Points[l][i]; p.Seen() {
					out[l] = [2]float64{p.X, p.Y}
				}
			}
			return out, true
		}
	}
	return nil, false
}

// anklesOf is the middle of the ankles that were seen.
func anklesOf(px map[kinematics.Landmark][2]float64) (mid [2]float64, ok bool) {
	n := 0.0
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		if p, ok := px[kinematics.On(s, kinematics.Ankle)]; ok {
			mid, n = [2]float64{mid[0] + p[0], mid[1] + p[1]}, n+1
		}
	}
	return [2]float64{mid[0] / n, mid[1] / n}, n > 0
}
