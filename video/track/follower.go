package track

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/flow"
	"steadfall/video/plane"
)

// bufferBytes bounds the grey pictures kept between two placements for the
// backward pass. When a stretch is longer, its oldest frames have only the
// forward pass; their standard deviations say so.
const bufferBytes = 400 << 20

// lostShare of the body height is the largest standard deviation a point may
// have and still be given: beyond, it is lost. lostStep of it is what a frame
// without flow may hide.
const (
	lostShare = 0.045
	lostStep  = 0.015
)

// Follower carries points that a person placed through a clip. Between two frames on which a
// landmark is placed it is followed forward from the first and backward from the second; the track is
// the path that best fits all placements and the flow between them. A landmark that was never placed
// is not in the track. It runs the forward chains as frames come in and the backward chains
// whenever a placement is reached. It thinks in px of small grey pictures that show the
// region around the athlete.
type Follower struct {
	Area   image.Rectangle // of the frame: the region around the athlete that is looked at
	Shrink int             // by how much it is shrunk
	view   kinematics.View
	width  int // of a frame
	height int
	placed map[int]PlacedFrame
	to     plane.Cut // from the frame to the small picture
	body   float64   // height of the athlete, px of the small picture
	flow   flow.Flow
	marks  []kinematics.Landmark
	chain  map[kinematics.Landmark]*chain
	anchor anchor
	frames []int // those done with, and their times
	times  []float64
	grey   []flow.Picture // the small pictures since first
	first  int            // frame number of grey[0]
	keep   int            // how many pictures may be kept
}

// followedBody is the height that athletes are shrunk to before they are followed, px. A
// placed point is off by more than what is lost by that, and it costs a fourth.
const followedBody = 400

// carried is how flow carried one landmark so far, and where it stands.
type carried struct {
	steps   flow.Course
	at, vel r2.Vec
	alive   bool
}

// move advances the landmark by a step, or loses it.
func (c *carried) move(s flow.Step) {
	c.alive = s.OK
	c.at, c.vel = r2.Add(c.at, s.D), s.D
}

// chain is what is known of one landmark so far.
type chain struct {
	carried
	mark  kinematics.Landmark
	fixes map[int]fix
	last  int // the frame of the latest placement, -1 before the first
}

// NewFollower follows placements through a clip of that size.
func NewFollower(pl Placements, width, height int) *Follower {
	f := &Follower{view: pl.View, width: width, height: height, placed: map[int]PlacedFrame{}, chain: map[kinematics.Landmark]*chain{}}
	box := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, pf := range pl.Frames {
		f.placed[pf.Frame] = pf
		own := [2]float64{math.Inf(1), math.Inf(-1)}
		for l, p := range pf.Points {
			box = [4]float64{min(box[0], p.X), min(box[1], p.Y), max(box[2], p.X), max(box[3], p.Y)}
			own = [2]float64{min(own[0], p.Y), max(own[1], p.Y)}
			if f.chain[l] == nil {
				f.chain[l] = &chain{mark: l, fixes: map[int]fix{}, last: -1}
			}
		}
		f.body = max(f.body, own[1]-own[0])
	}
	for _, l := range kinematics.Landmarks() {
		if f.chain[l] != nil {
			f.marks = append(f.marks, l)
		}
	}
	// Shoulder to toe is .818 of the height; a person of whom only the legs
	// were placed is taken for no smaller than a fifth of the picture.
	f.body = max(f.body/0.8, float64(height)/5)
	m := 0.45 * f.body
	f.Area = image.Rect(int(box[0]-m), int(box[1]-m), int(box[2]+m)+1, int(box[3]+m)+1).Intersect(image.Rect(0, 0, width, height))
	f.Shrink = max(1, int(math.Round(f.body/followedBody)))
	size := f.Area.Size().Div(f.Shrink)
	f.Area.Max = f.Area.Min.Add(size.Mul(f.Shrink))
	f.to = plane.Cut{Corner: f.Area.Min, K: 1 / float64(f.Shrink)}
	f.body *= f.to.K
	f.keep = max(2, bufferBytes/max(1, size.X*size.Y))
	f.flow = flow.FromClicks(f.body, pl.View)
	return f
}

// Close lets go of the pictures.
func (f *Follower) Close() {
	f.anchor.lift()
	for _, g := range f.grey {
		closeIf(g)
	}
}

// Next follows the points to the next frame. Its picture is closed when it is done with.
func (f *Follower) Next(s Frame) {
	if len(f.grey) > 0 {
		f.forward(f.grey[len(f.grey)-1], s.Grey)
	}
	f.grey = append(f.grey, s.Grey)
	if pf, ok := f.placed[f.now()]; ok {
		f.backward(pf)
		f.restart(pf)
	}
	f.forget()
	f.frames, f.times = append(f.frames, s.Number), append(f.times, s.TimeS)
}

// now is the number of the frame that is looked at.
func (f *Follower) now() int { return len(f.frames) }

// forward moves every living chain from picture a to picture b.
func (f *Follower) forward(a, b flow.Picture) {
	for _, l := range f.marks {
		f.chain[l].steps.Lose(1)
	}
	if b == nil {
		f.anchor.lift()
	}
	moving := f.holdToAnchor(b)
	f.advance(a, b, moving, func(l kinematics.Landmark, s flow.Step) {
		f.chain[l].steps.PutLast(s)
	})
	f.dropAnchor(b)
}

// advance moves the living chains from picture a to picture b and tells each
// step.
func (f *Follower) advance(a, b flow.Picture, chains map[kinematics.Landmark]*chain, tell func(kinematics.Landmark, flow.Step)) {
	if a == nil || b == nil { // a damaged frame, over which nothing is followed
		for l, c := range chains {
			c.alive = false
			tell(l, flow.Step{})
		}
		return
	}
	var movers []flow.Mover
	for _, l := range f.marks {
		if c := chains[l]; c != nil && c.alive {
			movers = append(movers, f.flow.Mover(l, c.at, r2.Add(c.at, c.vel), func(j kinematics.Landmark) (r2.Vec, bool) {
				if o := f.neighbour(chains, j); o != nil && o.alive {
					return o.at, true
				}
				return r2.Vec{}, false
			}))
		}
	}
	steps := f.flow.Between(a, b, movers)
	f.retry(a, b, movers, steps)
	for i, s := range steps {
		chains[movers[i].Mark].move(s)
	}
	for i, s := range steps {
		c := chains[movers[i].Mark]
		if f.leftBehind(c, f.neighbour(chains, kinematics.On(c.mark.Side(), kinematics.Ankle))) {
			c.alive, s = false, flow.Step{}
		}
		tell(c.mark, s)
	}
}

// footReach is farther from the ankle than any toe or heel, as a share of the body
// height; the foot is .152 of it long (Drillis and Contini 1966).
const footReach = 0.19

// leftBehind tells that a toe or heel is too far from its ankle to be on the same
// foot: it stayed on the edge of the box, or on a mark on the floor.
func (f *Follower) leftBehind(c, ankle *chain) bool {
	part := c.mark.Part()
	if (part != kinematics.Toe && part != kinematics.Heel) || ankle == nil || !ankle.alive {
		return false
	}
	return r2.Norm(r2.Sub(c.at, ankle.at)) > footReach*f.body
}

// retry looks again for landmarks that were not found, starting from where their
// own side of the body went: a foot about to land is too fast to be found from
// rest.
func (f *Follower) retry(a, b flow.Picture, movers []flow.Mover, steps []flow.Step) {
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
	for k, s := range f.flow.Between(a, b, again) {
		steps[which[k]] = s
	}
}

// neighbour is the chain of a joined landmark: of this run, or else, when only
// some landmarks move, the forward one.
func (f *Follower) neighbour(chains map[kinematics.Landmark]*chain, l kinematics.Landmark) *chain {
	if c, ok := chains[l]; ok || len(chains) == 0 {
		return c
	}
	for _, c := range chains {
		if f.chain[c.mark] == c { // a forward run
			return f.chain[l]
		}
	}
	return nil
}

// backward follows the landmarks placed on this frame back to their placement
// before, and joins what it finds with the forward chain.
func (f *Follower) backward(pf PlacedFrame) {
	run := map[kinematics.Landmark]*chain{}
	oldest := f.now()
	for l, p := range pf.Points {
		run[l] = &chain{mark: l, carried: carried{at: f.to.ToPicture(r2.Vec{X: p.X, Y: p.Y}), alive: true, vel: r2.Scale(-1, f.chain[l].vel)}}
		oldest = min(oldest, max(f.chain[l].last, f.first, 0))
	}
	back := map[kinematics.Landmark]map[int]flow.Step{}
	for l := range run {
		back[l] = map[int]flow.Step{}
	}
	for n := f.now(); n > oldest; n-- {
		for l, c := range run {
			if n <= f.chain[l].last {
				delete(run, l)
				f.settle(c, back[l], pf.Points[l])
			}
		}
		f.advance(f.grey[n-f.first], f.grey[n-1-f.first], run, func(l kinematics.Landmark, s flow.Step) {
			s.D = r2.Scale(-1, s.D)
			back[l][n-1] = s
		})
	}
	for l, c := range run {
		f.settle(c, back[l], pf.Points[l])
	}
}

// settle joins the forward and the backward chain of a landmark between two
// placements. Each chain should end on the placement that the other starts from;
// the one that misses it more has gone astray somewhere and weighs less.
func (f *Follower) settle(back *chain, steps map[int]flow.Step, p kinematics.Point) {
	ahead := f.chain[back.mark]
	missBack, missAhead := 0.0, 0.0
	if from, ok := ahead.fixes[ahead.last]; ok && ahead.last >= f.first { // else the pictures back to it are gone
		missBack = f.miss(back, from.at)
		missAhead = f.miss(ahead, f.to.ToPicture(r2.Vec{X: p.X, Y: p.Y}))
	}
	for n, s := range steps {
		ahead.steps.Put(n, join(ahead.steps.At(n), s, missAhead, missBack))
	}
}

// miss is how far a chain ended from where it should, in units of what is still
// plausible; a chain that was lost missed by much.
func (f *Follower) miss(c *chain, want r2.Vec) float64 {
	if !c.alive {
		return 4
	}
	return r2.Norm(r2.Sub(c.at, want)) / (0.02 * f.body)
}

// restart takes the placements of this frame as fixes and sets the forward
// chains out from them.
func (f *Follower) restart(pf PlacedFrame) {
	for l, p := range pf.Points {
		c := f.chain[l]
		at := f.to.ToPicture(r2.Vec{X: p.X, Y: p.Y})
		c.fixes[f.now()] = fix{at, p.SD * f.to.K}
		c.last, c.at, c.alive = f.now(), at, true
	}
	f.anchor.lift()
}

// forget drops the pictures no backward chain can need any more.
func (f *Follower) forget() {
	need := f.now()
	for n := range f.placed {
		if n > f.now() { // some placement is still to come
			for _, l := range f.marks {
				need = min(need, max(f.chain[l].last, 0))
			}
			break
		}
	}
	drop := max(need-f.first, len(f.grey)-f.keep, 0)
	for _, g := range f.grey[:drop] {
		closeIf(g)
	}
	f.grey = append(f.grey[:0], f.grey[drop:]...)
	f.first += drop
}

// Track is the fused paths, with nothing on the frozen frames.
func (f *Follower) Track(frozen []bool) kinematics.Track {
	t := kinematics.NewTrack(f.view, f.width, f.height, f.frames, f.times)
	limit, blind := lostShare*f.body, lostStep*f.body
	for _, l := range f.marks {
		c := f.chain[l]
		pos, sd := fuse(len(t.Frame), &c.steps, c.fixes, blind*blind)
		for i := range pos {
			if sd[i] > limit {
				continue
			}
			source := kinematics.Tracked
			if _, ok := c.fixes[i]; ok {
				source = kinematics.Placed
			}
			at := f.to.ToFrame(pos[i])
			t.Points[l][i] = kinematics.Point{X: at.X, Y: at.Y, SD: sd[i] / f.to.K, Source: source}
		}
	}
	unseen(t, frozen)
	return t
}
