package track

import (
	"maps"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/flow"
	"steadfall/video/plane"
)

// anchor is a picture from a stretch in which the athlete hardly moves. While it
// lasts, landmarks are matched to it instead of to the frame before: small errors
// do not add up over a hold, and a hand that sways slowly past a hip is seen to
// have moved where from frame to frame it would pass for the hip.
type anchor struct {
	picture flow.Picture // nil where none is set
	at      map[kinematics.Landmark]r2.Vec
}

// The motion, as shares of the body height, that an anchor stands for.
const (
	anchorSpeed = 0.004 // median step a frame under which one is set
	anchorReach = 0.012 // median way from it at which a new one is set
	anchorMost  = 0.025 // farthest a landmark is matched to it
)

// anchoredPx is the standard deviation of a step between two frames that are both
// matched to the anchor.
const anchoredPx = 0.03

// lift takes the anchor away.
func (a *anchor) lift() {
	closeIf(a.picture)
	a.picture = nil
}

// where is where a landmark was on the anchor's picture.
func (a *anchor) where(l kinematics.Landmark) (r2.Vec, bool) {
	at, ok := a.at[l]
	return at, ok
}

// holdToAnchor moves the landmarks that still match the anchor to picture g and returns those
// that must be moved from frame to frame.
func (f *Follower) holdToAnchor(g flow.Picture) paths {
	if f.anchor.picture == nil {
		return f.paths
	}
	rest := maps.Clone(f.paths)
	movers := f.movers(f.paths, f.anchor.where, (*path).here)
	for i, s := range f.flow.Between(f.anchor.picture, g, movers) {
		p := f.paths[movers[i].Mark]
		jump := r2.Sub(r2.Add(movers[i].At, s.D), p.at)
		if !s.OK || r2.Norm(s.D) > anchorMost*f.tall || r2.Norm(jump) > anchorReach*f.tall {
			continue
		}
		held := flow.Step{D: jump, SD: math.Sqrt(anchoredPx*anchoredPx + f.flow.Artefact(p.mark.Part(), r2.Norm(jump))), OK: true}
		keep(p, held)
		p.move(held)
		delete(rest, p.mark)
	}
	return rest
}

// dropAnchor sets a new anchor in picture g where the athlete is slow and the old one is far,
// and lifts it where the athlete moves.
func (f *Follower) dropAnchor(g flow.Picture) {
	var speed, away []float64
	for _, p := range f.paths {
		if !p.alive {
			continue
		}
		speed = append(speed, r2.Norm(p.vel))
		if at, ok := f.anchor.at[p.mark]; ok {
			away = append(away, r2.Norm(r2.Sub(p.at, at)))
		}
	}
	switch {
	case len(speed) == 0 || plane.Median(speed) > anchorSpeed*f.tall:
		f.anchor.lift()
		return
	case f.anchor.picture != nil && len(away) > 0 && plane.Median(away) < anchorReach*f.tall:
		return
	}
	f.anchor.lift()
	f.anchor.picture = g.Clone()
	f.anchor.at = map[kinematics.Landmark]r2.Vec{}
	for _, p := range f.paths {
		if p.alive {
			f.anchor.at[p.mark] = p.at
		}
	}
}
