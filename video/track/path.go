package track

import (
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/flow"
)

// path is what is known of one landmark's way through a clip, in px of the small pictures: the steps
// of the flow from frame to frame, and where the net or a person put it on some of them.
type path struct {
	mark     kinematics.Landmark
	steps    flow.Course
	net      map[int]r2.Vec
	hand     map[int]fix
	lastHand int    // the latest frame of hand, -1 before the first
	at, vel  r2.Vec // where it stands, and how far it went in the last frame
	alive    bool   // it is followed
}

// A fix is a placed position of one landmark: a measurement with a standard
// deviation, not the truth.
type fix struct {
	at r2.Vec
	sd float64
}

func newPath(l kinematics.Landmark) *path {
	return &path{mark: l, net: map[int]r2.Vec{}, hand: map[int]fix{}, lastHand: -1}
}

// put is told where a person put the landmark on frame n. It goes on from there.
func (p *path) put(n int, f fix) {
	p.hand[n], p.lastHand = f, n
	p.at, p.alive = f.at, true
}

// move advances the landmark by a step, or loses it.
func (p *path) move(s flow.Step) {
	p.alive = s.OK
	p.at, p.vel = r2.Add(p.at, s.D), s.D
}

// stop ends the following of the landmark.
func (p *path) stop() { p.alive, p.vel = false, r2.Vec{} }

// ahead is where constant velocity would take the landmark, and here where it stands.
func (p *path) ahead() r2.Vec { return r2.Add(p.at, p.vel) }

func (p *path) here() r2.Vec { return p.at }

// source says where the position on frame n comes from.
func (p *path) source(n int) kinematics.Source {
	if _, ok := p.hand[n]; ok {
		return kinematics.Placed
	}
	if _, ok := p.net[n]; ok {
		return kinematics.Model
	}
	return kinematics.Tracked
}

// paths are the paths of some landmarks.
type paths map[kinematics.Landmark]*path

// where is where a landmark stands, if it is followed.
func (ps paths) where(l kinematics.Landmark) (r2.Vec, bool) {
	if p := ps[l]; p != nil && p.alive {
		return p.at, true
	}
	return r2.Vec{}, false
}

// net is where the net put a landmark, by frame.
func (ps paths) net(l kinematics.Landmark) map[int]r2.Vec {
	if p := ps[l]; p != nil {
		return p.net
	}
	return nil
}

// stop ends the following of them all.
func (ps paths) stop() {
	for _, p := range ps {
		p.stop()
	}
}
