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

// walker follows one person through the clip, on the small pictures.
type walker struct {
	at       pose.Region
	body     float64 // height, px, as it was seen lately
	flow     flow.Flow
	trails   map[kinematics.Landmark]*trail
	seen     *pose.Pose // what the net saw on this frame; nil where it was not asked
	lastSeen float64
	gone     bool
	swaps    int
	ratios   []float64 // width of the shoulders over the length of the trunk, each look
	talls    []float64 // height, px, each look
	heads    []float64 // how far the head is over the shoulders, along the trunk and in lengths of it, each look
}

// trail is what is known of one landmark of a person, in the small picture.
type trail struct {
	carried
	net  map[int]r2.Vec // where the net put it, by frame
	hand map[int]fix    // where a person put it, by frame
}

func newWalker() *walker {
	w := &walker{trails: map[kinematics.Landmark]*trail{}}
	for _, l := range kinematics.Landmarks() {
		w.trails[l] = &trail{net: map[int]r2.Vec{}, hand: map[int]fix{}}
	}
	return w
}

// meet takes the person up on frame n, for the first time or again after they were lost.
func (w *walker) meet(n int, timeS float64, s *pose.Pose) {
	for _, t := range w.trails {
		t.alive, t.vel = false, r2.Vec{}
		t.steps.Lose(n - t.steps.Count())
	}
	w.gone, w.seen = false, s
	w.settle(n, timeS, true)
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
	var movers []flow.Mover
	for _, l := range kinematics.Landmarks() {
		c := w.trails[l]
		c.steps.Lose(1)
		if !c.alive {
			continue
		}
		movers = append(movers, w.flow.Mover(l, c.at, r2.Add(c.at, c.vel), func(j kinematics.Landmark) (r2.Vec, bool) {
			return w.trails[j].at, w.trails[j].alive
		}))
	}
	for i, s := range w.flow.Between(a, b, movers) {
		c := w.trails[movers[i].Mark]
		c.steps.PutLast(s)
		c.move(s)
	}
}

// blink passes over a damaged frame: no point is known on it, nor followed over it.
func (w *walker) blink() {
	if w.gone {
		return
	}
	for _, t := range w.trails {
		t.steps.Lose(1)
		t.alive, t.vel = false, r2.Vec{}
	}
}

// pause passes over a frozen picture: the points stay, and go on from it as fast as they were.
func (w *walker) pause() {
	if w.gone {
		return
	}
	for _, t := range w.trails {
		t.steps.Lose(1)
		if t.alive {
			t.steps.PutLast(flow.Step{SD: pausedSD, OK: true})
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
	for _, t := range w.trails {
		if t.alive && r2.Norm(t.vel) > movingSpeed*w.body*gap {
			return true
		}
		if t.alive {
			alive++
		}
	}
	return alive < len(w.trails)/2
}

// look asks the net where the points are.
func (w *walker) look(picture pose.Picture, mirrored bool) {
	if w.gone {
		return
	}
	s := picture.See(w.at, mirrored)
	w.seen = &s
}

// settle takes what the net saw on frame n into the trails.
func (w *walker) settle(n int, timeS float64, asked bool) {
	s := w.seen
	w.seen = nil
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
	off := stretched(s, w.body)
	for l, q := range s.Points {
		c := w.trails[l]
		if q.Visible < seeable || off[l.Side()] && l.Part() != kinematics.Shoulder && l.Part() != kinematics.Hip {
			continue
		}
		at := q.At
		c.net[n] = at
		// The grid of the flow keeps near the net's point without following its jitter.
		d := r2.Sub(at, c.at)
		if c.alive && r2.Norm(d) < 0.03*w.body {
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
	if w.body == 0 {
		w.body = tall
	}
	w.body += 0.2 * (tall - w.body)
	w.talls = append(w.talls, tall)
	view := kinematics.Front
	if math.Abs(wide) < sideRatio*trunk {
		view = kinematics.SideRight
	}
	w.flow = flow.NearNet(w.body, view)
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
			c := w.trails[kinematics.On(side, p)]
			if !c.alive {
				continue
			}
			straight += r2.Norm(r2.Sub(c.at, s.Points[kinematics.On(side, p)].At))
			crossed += r2.Norm(r2.Sub(c.at, s.Points[kinematics.On(side.Other(), p)].At))
			count++
		}
	}
	if count < 4 || straight/count < 0.04*w.body || crossed > straight/2 {
		return
	}
	w.swaps++
	for _, p := range kinematics.Parts {
		l, r := kinematics.On(kinematics.Left, p), kinematics.On(kinematics.Right, p)
		s.Points[l], s.Points[r] = s.Points[r], s.Points[l]
	}
}

// place takes a point placed by hand on frame n.
func (w *walker) place(n int, l kinematics.Landmark, at r2.Vec, sd float64) {
	c := w.trails[l]
	c.hand[n] = fix{at, sd}
	c.at, c.alive = at, true
}
