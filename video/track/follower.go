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

// followedBody is the height that athletes are shrunk to before they are followed, px. A
// placed point is off by more than what is lost by that, and it costs a fourth.
const followedBody = 400

// Follower carries points that a person placed through a clip, without a net. Between two frames on
// which a landmark is placed it is followed forward from the first and, once the second is reached,
// backward from that. A landmark that was never placed is not in the track.
type Follower struct {
	Area     image.Rectangle // of the frame: the region around the athlete that is looked at
	Shrink   int             // by how much it is shrunk
	view     kinematics.View
	placed   map[int]PlacedFrame
	latest   int     // the last frame of placed
	heightPx float64 // of the athlete, px of the frame
	scene
	body
	anchor anchor
	grey   []flow.Picture // the small pictures since first
	first  int            // frame number of grey[0]
	most   int            // how many pictures may be kept
}

// NewFollower follows placements through a clip of that size.
func NewFollower(pl Placements, width, height int) *Follower {
	f := &Follower{
		view: pl.View, placed: map[int]PlacedFrame{},
		scene: scene{width: width, height: height}, body: body{paths: paths{}, alone: true},
	}
	box := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, pf := range pl.Frames {
		f.placed[pf.Frame], f.latest = pf, max(f.latest, pf.Frame)
		own := [2]float64{math.Inf(1), math.Inf(-1)}
		for l, p := range pf.Points {
			box = [4]float64{min(box[0], p.X), min(box[1], p.Y), max(box[2], p.X), max(box[3], p.Y)}
			own = [2]float64{min(own[0], p.Y), max(own[1], p.Y)}
			if f.paths[l] == nil {
				f.paths[l] = newPath(l)
			}
		}
		f.heightPx = max(f.heightPx, own[1]-own[0])
	}
	// Shoulder to toe is .818 of the height; a person of whom only the legs
	// were placed is taken for no smaller than a fifth of the picture.
	f.heightPx = max(f.heightPx/0.8, float64(height)/5)
	m := 0.45 * f.heightPx
	f.Area = image.Rect(int(box[0]-m), int(box[1]-m), int(box[2]+m)+1, int(box[3]+m)+1).Intersect(image.Rect(0, 0, width, height))
	f.Shrink = max(1, int(math.Round(f.heightPx/followedBody)))
	size := f.Area.Size().Div(f.Shrink)
	f.Area.Max = f.Area.Min.Add(size.Mul(f.Shrink))
	f.to = plane.Cut{Corner: f.Area.Min, K: 1 / float64(f.Shrink)}
	f.tall = f.heightPx * f.to.K
	f.most = max(2, bufferBytes/max(1, size.X*size.Y))
	f.flow = flow.FromClicks(f.tall, pl.View)
	return f
}

// Close lets go of the pictures.
func (f *Follower) Close() {
	f.anchor.lift()
	for _, g := range f.grey {
		closeIf(g)
	}
}

// Track is the path of every landmark that was placed, with nothing on the frozen frames.
func (f *Follower) Track(frozen []bool) kinematics.Track {
	return f.track(f.scene, f.view, f.heightPx, frozen)
}

// Next follows the points to the next frame. Its picture is closed when it is done with.
func (f *Follower) Next(s Frame) {
	if len(f.grey) > 0 {
		f.forward(f.grey[len(f.grey)-1], s.Grey)
	}
	f.grey = append(f.grey, s.Grey)
	n := f.add(s)
	if pf, ok := f.placed[n]; ok {
		f.backward(n, pf)
		for l, p := range pf.Points {
			f.paths[l].put(n, f.small(p))
		}
		f.anchor.lift()
	}
	f.forget(n)
}

// forward moves every living landmark from picture a to picture b, which are nil where they are
// damaged: nothing is followed over those.
func (f *Follower) forward(a, b flow.Picture) {
	f.next()
	if a == nil || b == nil {
		f.stop()
		f.anchor.lift()
		return
	}
	f.carry(a, b, f.holdToAnchor(b), f.paths, keep)
	f.dropAnchor(b)
}

// backward follows the landmarks placed on frame n back to their placement
// before, and joins what it finds with the forward chain.
func (f *Follower) backward(n int, pf PlacedFrame) {
	run, oldest := paths{}, n
	steps := map[kinematics.Landmark]map[int]flow.Step{}
	forth := map[kinematics.Landmark]r2.Vec{} // where the forward chain was on frame k
	for l, p := range pf.Points {
		ahead := f.paths[l]
		run[l] = &path{mark: l, at: f.small(p).at, alive: true, vel: r2.Scale(-1, ahead.vel)}
		steps[l], forth[l] = map[int]flow.Step{}, ahead.at
		oldest = min(oldest, max(ahead.lastHand, f.first, 0))
	}
	for k := n; k > oldest; k-- {
		for l, p := range run {
			if k <= f.paths[l].lastHand {
				delete(run, l)
				f.join(p, steps[l], pf.Points[l])
			}
		}
		a, b := f.grey[k-f.first], f.grey[k-1-f.first]
		if a == nil || b == nil {
			run.stop()
			continue
		}
		same, others := f.parted(run, forth, k)
		f.carry(a, b, others, run, func(p *path, s flow.Step) {
			s.D = r2.Scale(-1, s.D)
			steps[p.mark][k-1] = s
		})
		for l, p := range same {
			s := f.paths[l].steps.At(k - 1)
			steps[l][k-1] = s
			s.D = r2.Scale(-1, s.D)
			p.move(s)
		}
	}
	for l, p := range run {
		f.join(p, steps[l], pf.Points[l])
	}
}

// parted are the landmarks that are followed back, on frame k, by whether their two chains lie close.
// forth is where the forward ones are, and goes on to the frame before.
func (f *Follower) parted(run paths, forth map[kinematics.Landmark]r2.Vec, k int) (same, others paths) {
	same, others = paths{}, paths{}
	for l, p := range run {
		s := f.paths[l].steps.At(k - 1)
		if s.OK && p.alive && r2.Norm(r2.Sub(p.at, forth[l])) < sameShare*f.tall {
			same[l] = p
		} else {
			others[l] = p
		}
		forth[l] = r2.Sub(forth[l], s.D)
		if !s.OK { // nobody knows where it was before it was lost
			forth[l] = r2.Vec{X: math.NaN(), Y: math.NaN()}
		}
	}
	return same, others
}

// sameShare is how near the two chains of a landmark lie, as a share of the body height, where the step
// of the forward one is the backward one's too: both see the same cloth.
const sameShare = 0.005

// join joins the forward and the backward chain of a landmark between two
// placements. Each chain should end on the placement that the other starts from;
// the one that misses it more has gone astray somewhere and weighs less.
func (f *Follower) join(back *path, steps map[int]flow.Step, p kinematics.Point) {
	ahead := f.paths[back.mark]
	missBack, missAhead := 0.0, 0.0
	if from, ok := ahead.hand[ahead.lastHand]; ok && ahead.lastHand >= f.first { // else the pictures back to it are gone
		missBack = f.miss(back, from.at)
		missAhead = f.miss(ahead, f.small(p).at)
	}
	for n, s := range steps {
		ahead.steps.Put(n, joined(ahead.steps.At(n), s, missAhead, missBack))
	}
}

// miss is how far a chain ended from where it should, in units of what is still
// plausible; a chain that was lost missed by much.
func (f *Follower) miss(p *path, want r2.Vec) float64 {
	if !p.alive {
		return 4
	}
	return r2.Norm(r2.Sub(p.at, want)) / (0.02 * f.tall)
}

// forget drops the pictures no backward chain can need any more on frame n.
func (f *Follower) forget(n int) {
	need := n
	if f.latest > n { // some placement is still to come
		for _, p := range f.paths {
			need = min(need, max(p.lastHand, 0))
		}
	}
	drop := max(need-f.first, len(f.grey)-f.most, 0)
	for _, g := range f.grey[:drop] {
		closeIf(g)
	}
	f.grey = append(f.grey[:0], f.grey[drop:]...)
	f.first += drop
}
