package track

import (
	"cmp"
	"image"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/flow"
	"steadfall/video/plane"
	"steadfall/video/pose"
)

// How often the net is asked while somebody moves and while nobody does, and how often
// new people are looked for, in seconds. Between, points are carried by optical flow.
const (
	netMovingS   = 0.030
	netRestingS  = 0.100
	searchEveryS = 0.5
	searchLostS  = 0.1 // while nobody is followed
)

// mostPeople is how many people are followed at once.
const mostPeople = 4

// Placer finds the people in a clip and places their points on every frame. The net's points are
// measurements with a steady offset and a fresh error; optical flow carries them from frame to
// frame; points placed by hand, if any, belong to the person they lie on and win over the net's.
type Placer struct {
	scene
	grey, before  flow.Picture // this frame and the one before
	frozen        []bool       // of each frame
	people        []*walker
	placed        Placements
	asked, search float64 // when the net and the detector were last used
	turn          int     // counts uses of the net; every second is mirrored
}

// NewPlacer is for a clip of that size whose small pictures are cut so.
func NewPlacer(pl Placements, width, height int, to plane.Cut) *Placer {
	return &Placer{scene: scene{width: width, height: height, to: to}, placed: pl, asked: math.Inf(-1), search: math.Inf(-1)}
}

// Close lets go of the pictures.
func (p *Placer) Close() {
	closeIf(p.grey)
	closeIf(p.before)
}

// People are those who were seen, from left to right, with nothing on the frozen frames.
func (p *Placer) People(frozen []bool) []Person {
	p.frozen = frozen
	var out []Person
	for _, w := range p.people {
		if len(w.ratios) >= leastLooks && w.hasHead() {
			out = append(out, p.person(w))
		}
	}
	slices.SortStableFunc(out, func(a, b Person) int { return cmp.Compare(a.MidX, b.MidX) })
	return out
}

// leastLooks is how often the net must have seen a person for them to count.
const leastLooks = 5

// Next goes on to the next frame. The flow to it and the net on it need nothing of each other and
// run at the same time.
func (p *Placer) Next(s Frame) {
	n := p.add(s)
	if s.Grey == nil {
		p.miss()
		return
	}
	if s.Again {
		for _, w := range p.people {
			w.pause()
		}
		p.byHand(n)
		s.Grey.Close()
		return
	}
	closeIf(p.before)
	p.before, p.grey = p.grey, s.Grey
	every := netRestingS
	if slices.ContainsFunc(p.alive(), func(w *walker) bool { return n == 0 || w.moves(p.gap(n)) }) {
		every = netMovingS
	}
	ask := s.TimeS-p.asked > every-0.001
	var g sync.WaitGroup
	g.Go(func() {
		for _, w := range p.people {
			w.flowTo(p.before, p.grey)
		}
	})
	if ask {
		p.asked = s.TimeS
		p.turn++
		for _, w := range p.people {
			w.look(s.Colours(), p.turn%2 == 1)
		}
	}
	g.Wait()
	for _, w := range p.people {
		w.accept(n, s.TimeS, ask)
	}
	p.byHand(n)
	every = searchEveryS
	if len(p.alive()) == 0 {
		every = searchLostS
	}
	if s.TimeS-p.search > every-0.001 {
		p.search = s.TimeS
		p.find(s.Colours(), n, s.TimeS)
	}
}

// miss passes over a damaged frame: nothing is followed over it, and the net looks again after it.
func (p *Placer) miss() {
	for _, w := range p.people {
		w.blink()
	}
	p.asked, p.search = math.Inf(-1), math.Inf(-1)
}

// find looks for people who are not followed yet. While nobody is, it also looks at
// parts of the picture, in which a small or dim athlete is found more easily.
func (p *Placer) find(picture pose.Picture, n int, timeS float64) {
	size := picture.Size()
	for _, r := range picture.People(image.Rectangle{Max: size}) {
		p.meet(picture, r, n, timeS)
	}
	for _, part := range tiles(size.X, size.Y) {
		if len(p.alive()) > 0 {
			return
		}
		for _, r := range picture.People(part) {
			p.meet(picture, r, n, timeS)
		}
	}
}

// tiles are squares along the longer side of a picture: at its middle, start and end.
func tiles(width, height int) []image.Rectangle {
	side := min(width, height)
	var out []image.Rectangle
	for _, k := range []int{1, 0, 2} {
		out = append(out, image.Rect(0, 0, side, side).Add(image.Pt((width-side)*k/2, (height-side)*k/2)))
	}
	return out
}

// meet follows the person of a region from frame n on, if the net sees one there who is
// not followed yet; whoever was lost near there is taken up again. Three looks
// bring the region, which the detector gives only roughly, to where it belongs.
func (p *Placer) meet(picture pose.Picture, r pose.Region, n int, timeS float64) {
	known := func() bool {
		return len(p.alive()) >= mostPeople || slices.ContainsFunc(p.alive(), func(w *walker) bool { return covers(w.at, r) })
	}
	if known() {
		return
	}
	var seen pose.Pose
	for range 3 {
		if seen = picture.See(r, false); !seen.Usable() {
			return
		}
		r = seen.Next
	}
	if known() {
		return
	}
	w := newWalker()
	if i := slices.IndexFunc(p.people, func(w *walker) bool { return w.lost(r, timeS) }); i >= 0 {
		w = p.people[i]
	} else {
		p.people = append(p.people, w)
	}
	w.begin(n, timeS, &seen)
	p.byHand(n)
}

func (p *Placer) alive() []*walker {
	var out []*walker
	for _, w := range p.people {
		if !w.gone {
			out = append(out, w)
		}
	}
	return out
}

// covers reports whether two regions are about the same person.
func covers(r, o pose.Region) bool {
	return r2.Norm(r2.Sub(r.Mid, o.Mid)) < 0.25*math.Min(r.Side, o.Side)
}

// byHand gives the points placed on this frame to the person they lie on.
func (p *Placer) byHand(n int) {
	i := slices.IndexFunc(p.placed.Frames, func(f PlacedFrame) bool { return f.Frame == n })
	if i < 0 {
		return
	}
	var best *walker
	least := math.Inf(1)
	for _, w := range p.alive() {
		var away, count float64
		for l, q := range p.placed.Frames[i].Points {
			if at, ok := w.paths.where(l); ok {
				away += r2.Norm(r2.Sub(at, p.small(q).at)) / w.tall
				count++
			}
		}
		if count > 0 && away/count < least {
			best, least = w, away/count
		}
	}
	if best == nil || least > 0.3 {
		return
	}
	for l, q := range p.placed.Frames[i].Points {
		best.paths[l].put(n, p.small(q))
	}
}
