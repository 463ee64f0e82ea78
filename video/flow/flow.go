// Package flow is about what moves between grey pictures of a clip: how far each landmark of a
// body goes from one to the next, whether anything moves at all, and how still, sharp and light the
// pictures are. What needs OpenCV is behind Picture, so that whoever follows landmarks does not.
package flow

import (
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
)

// A Picture is a small grey picture on which points can be followed.
type Picture interface {
	// Follow tells where points of this picture are in the next one, whether they were found, and how
	// much texture each had. The search sets out from seed, with a window of so many px, on so many
	// levels above the picture itself.
	Follow(next Picture, from, seed []r2.Vec, window, levels int) (to []r2.Vec, ok []bool, texture []float64)
	// Clone is a copy, which is closed by itself.
	Clone() Picture
	Close()
}

// Step is how far one landmark moved from a frame to the next, with the
// standard deviation of each axis. OK is false where the flow failed its
// checks: the landmark was lost there.
type Step struct {
	D  r2.Vec
	SD float64
	OK bool
}

// Way is how far the landmark went, and the variance of each axis: lostVar where it was lost,
// for such a step carries no position.
func (s Step) Way(lostVar float64) (d r2.Vec, variance float64) {
	if !s.OK {
		return r2.Vec{}, lostVar
	}
	return s.D, s.SD * s.SD
}

// Mover is a landmark about to be moved to the next picture.
type Mover struct {
	Mark  kinematics.Landmark
	At    r2.Vec   // where it is
	Guess r2.Vec   // where constant velocity would take it
	limbs []r2.Vec // the landmarks it is joined to, where they are known
}

// Flow measures steps between two grey pictures by pyramidal Lucas–Kanade
// (Bouguet 2001, as in OpenCV). A joint under plain cloth has no texture of its
// own, so a grid of points over the limbs that meet there is followed, and the
// landmark moves with the similarity transform that fits most of them.
type Flow struct {
	body     float64                     // height of the athlete, px
	side     bool                        // a side view
	window   int                         // side of the Lucas–Kanade window, px
	levels   int                         // of the pyramid, above the picture itself
	back     int                         // the same on the way back, which sets out from where it should end
	artefact map[kinematics.Part]float64 // clickArtefact or netArtefact
}

// FromClicks sizes the grids and windows for an athlete of that height in pixels, whose points set
// out from where a person placed them. On small pictures, with windows of 12 px, the pyramid
// reaches steps of 50 px a frame, 8 m/s at 60 frames a second.
func FromClicks(bodyPx float64, view kinematics.View) Flow {
	odd := func(v float64) int { return int(v)/2*2 + 1 }
	return Flow{
		body:     bodyPx,
		side:     view.IsSide(),
		window:   odd(min(max(0.035*bodyPx, 11), 45)),
		levels:   3,
		back:     1,
		artefact: clickArtefact,
	}
}

// NearNet is the same for points that keep near the net's. How far the net is trusted was told with
// a whole pyramid on the way back; a lower one moved the depth of one of seven clips by 1 cm.
func NearNet(bodyPx float64, view kinematics.View) Flow {
	f := FromClicks(bodyPx, view)
	f.back = f.levels
	f.artefact = netArtefact(view)
	return f
}

// Mover is a landmark that is at one position and expected at another; where tells where other
// landmarks are, if they are known.
func (f Flow) Mover(l kinematics.Landmark, at, guess r2.Vec, where func(kinematics.Landmark) (r2.Vec, bool)) Mover {
	m := Mover{Mark: l, At: at, Guess: guess}
	for _, j := range f.joined(l) {
		if p, ok := where(j); ok {
			m.limbs = append(m.limbs, p)
		}
	}
	return m
}

// maxRoundTrip is the most that a point may miss where it set out from when it is followed back, px;
// a share of the step is added to it.
const maxRoundTrip = 0.6

// agree tells whether a point that was followed and followed back came to about where it set out.
func agree(from, there, back r2.Vec) bool {
	return r2.Norm(r2.Sub(back, from)) < maxRoundTrip+0.1*r2.Norm(r2.Sub(there, from))
}

// Between measures the step of each landmark from picture a to picture b.
func (f Flow) Between(a, b Picture, movers []Mover) []Step {
	var from, seed []r2.Vec
	end := make([]int, len(movers))
	for i, m := range movers {
		g := f.grid(m)
		from = append(from, g...)
		for _, q := range g {
			seed = append(seed, r2.Add(q, r2.Sub(m.Guess, m.At)))
		}
		end[i] = len(from)
	}
	if len(from) == 0 {
		return make([]Step, len(movers))
	}
	there, okThere, texture := a.Follow(b, from, seed, f.window, f.levels)
	back, okBack, _ := b.Follow(a, there, from, f.window, f.back)
	out := make([]Step, len(movers))
	k := 0
	for i, m := range movers {
		_, sigma := f.reach(m.Mark.Part())
		fit := newFit(sigma * f.body)
		for ; k < end[i]; k++ {
			d := r2.Sub(there[k], from[k])
			if okThere[k] && okBack[k] && agree(from[k], there[k], back[k]) {
				fit.add(r2.Sub(from[k], m.At), d, texture[k])
			}
		}
		d, sd, ok := fit.solve()
		out[i] = Step{D: d, SD: f.stepSD(m.Mark.Part(), r2.Norm(d), sd), OK: ok}
	}
	return out
}
