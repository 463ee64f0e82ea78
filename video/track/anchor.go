package track

import (
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

// holdToAnchor moves the landmarks that still match the anchor and returns the
// chains that must be moved from frame to frame.
func (f *Follower) holdToAnchor(b flow.Picture) map[kinematics.Landmark]*chain {
	if f.anchor.picture == nil {
		return f.chain
	}
	rest := map[kinematics.Landmark]*chain{}
	var movers []flow.Mover
	for _, l := range f.marks {
		c := f.chain[l]
		at, ok := f.anchor.at[l]
		if !c.alive || !ok {
			rest[l] = c
			continue
		}
		movers = append(movers, f.flow.Mover(l, at, c.at, func(j kinematics.Landmark) (r2.Vec, bool) {
			p, ok := f.anchor.at[j]
			return p, ok
		}))
	}
	for i, s := range f.flow.Between(f.anchor.picture, b, movers) {
		c := f.chain[movers[i].Mark]
		now := r2.Add(movers[i].At, s.D)
		jump := r2.Sub(now, c.at)
		if !s.OK || r2.Norm(s.D) > anchorMost*f.body || r2.Norm(jump) > anchorReach*f.body {
			rest[c.mark] = c
			continue
		}
		held := flow.Step{D: jump, SD: math.Sqrt(anchoredPx*anchoredPx + f.flow.Artefact(c.mark.Part(), r2.Norm(jump))), OK: true}
		c.steps.PutLast(held)
		c.move(held)
	}
	return rest
}

// dropAnchor sets a new anchor where the athlete is slow and the old one is far,
// and lifts it where the athlete moves.
func (f *Follower) dropAnchor(b flow.Picture) {
	var speed, away []float64
	for _, c := range f.chain {
		if !c.alive {
			continue
		}
		speed = append(speed, r2.Norm(c.vel))
		if at, ok := f.anchor.at[c.mark]; ok {
			away = append(away, r2.Norm(r2.Sub(c.at, at)))
		}
	}
	switch {
	case len(speed) == 0 || plane.Median(speed) > anchorSpeed*f.body:
		f.anchor.lift()
		return
	case f.anchor.picture != nil && len(away) > 0 && plane.Median(away) < anchorReach*f.body:
		return
	}
	f.anchor.lift()
	f.anchor.picture = b.Clone()
	f.anchor.at = map[kinematics.Landmark]r2.Vec{}
	for _, c := range f.chain {
		if c.alive {
			f.anchor.at[c.mark] = c.at
		}
	}
}
