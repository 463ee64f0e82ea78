package track

import (
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/flow"
	"steadfall/video/plane"
)

// body is one person, whose landmarks the flow carries from picture to picture.
type body struct {
	paths paths
	tall  float64 // height, px of the small pictures
	flow  flow.Flow
	alone bool // the flow is alone: no net puts the landmarks back
}

// next adds a frame to every path, on which its landmark is lost until a step to it is told.
func (b *body) next() {
	for _, p := range b.paths {
		p.steps.Lose(1)
	}
}

// stop ends the following of all landmarks.
func (b *body) stop() { b.paths.stop() }

// movers are the landmarks of who that are followed. They set out from where start says, if it knows
// a position for them, and are looked for where guess says.
func (b *body) movers(who paths, start func(kinematics.Landmark) (r2.Vec, bool), guess func(*path) r2.Vec) []flow.Mover {
	var out []flow.Mover
	for _, l := range kinematics.Landmarks() {
		p := who[l]
		if p == nil || !p.alive {
			continue
		}
		if at, ok := start(l); ok {
			out = append(out, b.flow.Mover(l, at, guess(p), start))
		}
	}
	return out
}

// carry moves the landmarks of who, which are among some that may be known beside them, from one
// picture to the next, and tells each step.
func (b *body) carry(from, to flow.Picture, who, among paths, tell func(*path, flow.Step)) {
	movers := b.movers(who, among.where, (*path).ahead)
	steps := b.flow.Between(from, to, movers)
	if b.alone {
		b.retry(from, to, movers, steps)
	}
	for i, s := range steps {
		who[movers[i].Mark].move(s)
	}
	for i, s := range steps {
		p := who[movers[i].Mark]
		if b.alone && b.leftBehind(p, among) {
			p.alive, s = false, flow.Step{}
		}
		tell(p, s)
	}
}

// keep notes a step to the latest frame.
func keep(p *path, s flow.Step) { p.steps.PutLast(s) }

// retry looks again for landmarks that were not found, starting from where their
// own side of the body went: a foot about to land is too fast to be found from
// rest.
func (b *body) retry(from, to flow.Picture, movers []flow.Mover, steps []flow.Step) {
	var again []flow.Mover
	var which []int
	for i, s := range steps {
		if s.OK {
			continue
		}
		var dx, dy []float64
		for j, o := range steps {
			if o.OK && movers[j].Mark.Side() == movers[i].Mark.Side() {
				dx, dy = append(dx, o.D.X), append(dy, o.D.Y)
			}
		}
		if len(dx) == 0 {
			continue
		}
		m := movers[i]
		m.Guess = r2.Add(m.At, r2.Vec{X: plane.Median(dx), Y: plane.Median(dy)})
		again, which = append(again, m), append(which, i)
	}
	for k, s := range b.flow.Between(from, to, again) {
		steps[which[k]] = s
	}
}

// footReach is farther from the ankle than any toe or heel, as a share of the body
// height; the foot is .152 of it long (Drillis and Contini 1966).
const footReach = 0.19

// leftBehind tells that a toe or heel is too far from its ankle to be on the same
// foot: it stayed on the edge of the box, or on a mark on the floor.
func (b *body) leftBehind(p *path, among paths) bool {
	part := p.mark.Part()
	if part != kinematics.Toe && part != kinematics.Heel {
		return false
	}
	ankle, ok := among.where(kinematics.On(p.mark.Side(), kinematics.Ankle))
	return ok && r2.Norm(r2.Sub(p.at, ankle)) > footReach*b.tall
}
