//go:build cgo

package video

import (
	"math"

	"gocv.io/x/gocv"
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// anchor is a picture from a stretch in which the athlete hardly moves. While it
// lasts, landmarks are matched to it instead of to the frame before: small errors
// do not add up over a hold, and a hand that sways slowly past a hip is seen to
// have moved where from frame to frame it would pass for the hip.
type anchor struct {
	set     bool
	picture gocv.Mat
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

func newAnchor() anchor { return anchor{picture: gocv.NewMat()} }

// holdToAnchor moves the landmarks that still match the anchor and returns the
// chains that must be moved from frame to frame.
func (f *follower) holdToAnchor(b gocv.Mat) map[kinematics.Landmark]*chain {
	if !f.anchor.set {
		return f.chain
	}
	rest := map[kinematics.Landmark]*chain{}
	var movers []mover
	for _, l := range f.marks {
		c := f.chain[l]
		at, ok := f.anchor.at[l]
		if !c.alive || !ok {
			rest[l] = c
			continue
		}
		m := mover{mark: l, at: at, guess: c.at}
		for _, j := range f.flow.joined(l) {
			if p, ok := f.anchor.at[j]; ok {
				m.limbs = append(m.limbs, p)
			}
		}
		movers = append(movers, m)
	}
	for i, s := range f.flow.between(f.anchor.picture, b, movers) {
		c := f.chain[movers[i].mark]
		now := r2.Add(movers[i].at, s.D)
		jump := r2.Sub(now, c.at)
		if !s.OK || r2.Norm(s.D) > anchorMost*f.body || r2.Norm(jump) > anchorReach*f.body {
			rest[c.mark] = c
			continue
		}
		held := step{D: jump, SD: math.Sqrt(anchoredPx*anchoredPx + f.flow.artefactOf(c.mark.Part(), r2.Norm(jump))), OK: true}
		c.steps.putLast(held)
		c.move(held)
	}
	return rest
}

// dropAnchor sets a new anchor where the athlete is slow and the old one is far,
// and lifts it where the athlete moves.
func (f *follower) dropAnchor(b gocv.Mat) {
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
		f.anchor.set = false
		return
	case f.anchor.set && len(away) > 0 && plane.Median(away) < anchorReach*f.body:
		return
	}
	b.CopyTo(&f.anchor.picture)
	f.anchor.at = map[kinematics.Landmark]r2.Vec{}
	for _, c := range f.chain {
		if c.alive {
			f.anchor.at[c.mark] = c.at
		}
	}
	f.anchor.set = true
}
