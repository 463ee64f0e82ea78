package track

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/flow"
	"steadfall/video/pose"
)

// loseAfterS is how long a person may be out of the net's sight before they are let go.
const loseAfterS = 0.4

// seeable is the least visibility of a point that is used.
const seeable = 0.5

// walker follows one person through the clip, by the net and the flow side by side.
type walker struct {
	body
	at       pose.Region
	sight    *pose.Pose // what the net saw on this frame; nil where it was not asked
	lastSeen float64
	gone     bool
	swaps    int
	ratios   []float64 // width of the shoulders over the length of the trunk, each look
	talls    []float64 // height, px, each look
	heads    []float64 // how far the head is over the shoulders, along the trunk and in lengths of it, each look
}

func newWalker() *walker {
	w := &walker{body: body{paths: paths{}}}
	for _, l := range kinematics.Landmarks() {
		w.paths[l] = newPath(l)
	}
	return w
}

// begin follows the person from frame n on, for the first time or again after they were lost.
func (w *walker) begin(n int, timeS float64, s *pose.Pose) {
	for _, p := range w.paths {
		p.stop()
		p.steps.Lose(n - p.steps.Count())
	}
	w.gone, w.sight = false, s
	w.accept(n, timeS, true)
}

// seenAgainS is how long after a person was let go somebody found near where they were
// is still taken for them.
const seenAgainS = 1.5

// lost reports whether a region may be that of this person, who was let go.
func (w *walker) lost(r pose.Region, timeS float64) bool {
	return w.gone && timeS-w.lastSeen < seenAgainS && r2.Norm(r2.Sub(w.at.Mid, r.Mid)) < math.Max(w.at.Side, r.Side)/2
}

// flowTo carries the points from picture a to the next picture, b.
func (w *walker) flowTo(a, b flow.Picture) {
	if w.gone {
		return
	}
	w.next()
	w.carry(a, b, w.paths, w.paths, keep)
}

// blink passes over a damaged frame: no point is known on it, nor followed over it.
func (w *walker) blink() {
	if w.gone {
		return
	}
	w.next()
	w.stop()
}

// pause passes over a frozen picture: the points stay, and go on from it as fast as they were.
func (w *walker) pause() {
	if w.gone {
		return
	}
	w.next()
	for _, p := range w.paths {
		if p.alive {
			keep(p, flow.Step{SD: pausedSD, OK: true})
		}
	}
}

// pausedSD is about no error at all, px of the small picture.
const pausedSD = 0.01

// movingSpeed is the speed of a point, in body heights a second, from which on the
// person moves: 0.4 m/s, more than they sway.
const movingSpeed = 0.25

// moves reports whether some point moved over the last step, which took gap seconds,
// or too few are followed to tell. A leg behind the other is not waited for.
func (w *walker) moves(gap float64) bool {
	alive := 0
	for _, p := range w.paths {
		if p.alive && r2.Norm(p.vel) > movingSpeed*w.tall*gap {
			return true
		}
		if p.alive {
			alive++
		}
	}
	return alive < len(w.paths)/2
}

// look asks the net where the points are.
func (w *walker) look(picture pose.Picture, mirrored bool) {
	if w.gone {
		return
	}
	s := picture.See(w.at, mirrored)
	w.sight = &s
}

// accept adds what the net saw on frame n to the paths.
func (w *walker) accept(n int, timeS float64, asked bool) {
	s := w.sight
	w.sight = nil
	switch {
	case w.gone || !asked:
		return
	case s == nil || !s.Usable():
		w.gone = timeS-w.lastSeen > loseAfterS
		return
	}
	w.at, w.lastSeen = s.Next, timeS
	w.size(s)
	w.unswap(s)
	off := stretched(s, w.tall)
	for l, q := range s.Points {
		c := w.paths[l]
		if q.Visible < seeable || off[l.Side()] && l.Part() != kinematics.Shoulder && l.Part() != kinematics.Hip {
			continue
		}
		at := q.At
		c.net[n] = at
		// The grid of the flow keeps near the net's point without following its jitter.
		d := r2.Sub(at, c.at)
		if c.alive && r2.Norm(d) < 0.03*w.tall {
			at = r2.Add(c.at, r2.Scale(0.3, d))
		} else {
			c.vel = r2.Vec{}
		}
		c.at, c.alive = at, true
	}
}

// size notes how large the person is and how they stand to the camera.
func (w *walker) size(s *pose.Pose) {
	mid := func(p kinematics.Part) r2.Vec {
		return r2.Scale(0.5, r2.Add(s.Points[kinematics.On(kinematics.Left, p)].At, s.Points[kinematics.On(kinematics.Right, p)].At))
	}
	up := r2.Sub(mid(kinematics.Shoulder), mid(kinematics.Hip))
	trunk := r2.Norm(up)
	wide := s.Points[kinematics.On(kinematics.Left, kinematics.Shoulder)].At.X - s.Points[kinematics.On(kinematics.Right, kinematics.Shoulder)].At.X
	if trunk > 0 {
		w.ratios = append(w.ratios, wide/trunk)
		w.heads = append(w.heads, r2.Dot(r2.Sub(s.Head, mid(kinematics.Shoulder)), up)/(trunk*trunk))
	}
	// The trunk from shoulders to hips is .288 of the height (Drillis and Contini
	// 1966) and hardly shortens in a landing, as legs do.
	tall := trunk / 0.288
	if w.tall == 0 {
		w.tall = tall
	}
	w.tall += 0.2 * (tall - w.tall)
	w.talls = append(w.talls, tall)
	view := kinematics.Front
	if math.Abs(wide) < sideRatio*trunk {
		view = kinematics.SideRight
	}
	w.flow = flow.NearNet(w.tall, view)
}

// longestSegment is more than any thigh or shank is long, as a share of the body height:
// they are .245 and .246 (Drillis and Contini 1966).
const longestSegment = 0.33

// stretched tells the sides whose leg the net has drawn too long to be one: it put the
// knee or the foot elsewhere.
func stretched(s *pose.Pose, body float64) map[kinematics.Side]bool {
	out := map[kinematics.Side]bool{}
	for _, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		at := func(p kinematics.Part) r2.Vec { return s.Points[kinematics.On(side, p)].At }
		thigh, shank := r2.Norm(r2.Sub(at(kinematics.Hip), at(kinematics.Knee))), r2.Norm(r2.Sub(at(kinematics.Knee), at(kinematics.Ankle)))
		out[side] = math.Max(thigh, shank) > longestSegment*body
	}
	return out
}

// unswap puts left and right of the legs back where the net took one for the other:
// where all of its points lie much nearer to the other leg's as they were.
func (w *walker) unswap(s *pose.Pose) {
	parts := []kinematics.Part{kinematics.Hip, kinematics.Knee, kinematics.Ankle}
	var straight, crossed, count float64
	for _, p := range parts {
		for _, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
			c := w.paths[kinematics.On(side, p)]
			if !c.alive {
				continue
			}
			straight += r2.Norm(r2.Sub(c.at, s.Points[kinematics.On(side, p)].At))
			crossed += r2.Norm(r2.Sub(c.at, s.Points[kinematics.On(side.Other(), p)].At))
			count++
		}
	}
	if count < 4 || straight/count < 0.04*w.tall || crossed > straight/2 {
		return
	}
	w.swaps++
	for _, p := range kinematics.Parts {
		l, r := kinematics.On(kinematics.Left, p), kinematics.On(kinematics.Right, p)
		s.Points[l], s.Points[r] = s.Points[r], s.Points[l]
	}
}
