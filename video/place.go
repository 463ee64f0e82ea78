//go:build cgo

package video

import (
	"cmp"
	"context"
	"image"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/clip"
	"steadfall/video/flow"
	"steadfall/video/mat"
	"steadfall/video/plane"
	"steadfall/video/pose"
)

// Automatic placing looks at pictures shrunk to about this length of their longer side: a
// person of 700 px of 1920 is then 350 px tall, more than the net's square shows. They are shrunk
// by the nearest whole number, and what that leaves too large, as 1280 px, once more: noise
// that nothing has averaged took a dim clip's depth 3 cm off.
const placeSide = 960

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

// Place finds the people in a clip, from left to right, and places their points on every
// frame. The net's points are measurements with a steady offset and a fresh error;
// optical flow carries them from frame to frame; points placed by hand, if any, belong
// to the person they lie on and win over the net's.
func Place(ctx context.Context, path string, nets Nets, pl Placements, tell Progress) ([]Person, Footage, error) {
	film, err := clip.Open(path)
	if err != nil {
		return nil, Footage{}, err
	}
	defer film.Close()
	if err := pl.check(film.Width, film.Height, 0); err != nil {
		return nil, Footage{}, err
	}
	p, err := newPlacer(nets, film.Width, film.Height, pl)
	if err != nil {
		return nil, Footage{}, err
	}
	defer p.close()
	p.frozen, err = stream(ctx, film, p.whole, p.shrink, func(s frame) {
		p.next(s)
		if tell != nil {
			tell(len(p.times), film.Frames)
		}
	})
	if err != nil {
		return nil, Footage{}, err
	}
	if err := pl.check(film.Width, film.Height, len(p.times)); err != nil {
		return nil, Footage{}, err
	}
	var out []Person
	for _, w := range p.people {
		if len(w.ratios) >= leastLooks && w.hasHead() {
			out = append(out, p.person(w))
		}
	}
	slices.SortStableFunc(out, func(a, b Person) int { return cmp.Compare(a.MidX, b.MidX) })
	if len(out) == 0 {
		return nil, Footage{}, &NobodyError{path, p.light < blackPicture*float64(len(p.times))}
	}
	return out, Footage{film.Info, film.Losses(), freezes(p.frozen, p.times)}, nil
}

// leastLooks is how often the net must have seen a person for them to count.
const leastLooks = 5

// blackPicture is the mean grey of 255 under which nothing can be seen.
const blackPicture = 12

// placer goes through a clip once.
type placer struct {
	width, height int
	whole         image.Rectangle // of the frame: all but what the shrinking leaves over
	shrink        int
	fit           mat.Fit   // of the small pictures
	to            plane.Cut // of it
	nets          *pose.Loaded
	grey, before  flow.Picture // this frame and the one before
	frames        []int
	times         []float64
	frozen        []bool // of each frame
	people        []*walker
	placed        Placements
	asked, search float64 // when the net and the detector were last used
	turn          int     // counts uses of the net; every second is mirrored
	light         float64 // sum of the pictures' mean grey
}

func newPlacer(nets Nets, width, height int, pl Placements) (*placer, error) {
	loaded, err := pose.Load(nets)
	if err != nil {
		return nil, err
	}
	shrink := max(1, int(math.Round(float64(max(width, height))/placeSide)))
	area := mat.Divisible(width, height, shrink)
	small := area.Size().Div(shrink)
	k := math.Min(1, placeSide/float64(max(small.X, small.Y)))
	small = image.Pt(int(math.Round(float64(small.X)*k)), int(math.Round(float64(small.Y)*k)))
	return &placer{
		width: width, height: height, whole: area, shrink: shrink, fit: mat.Fit{Size: small}, to: plane.Cut{K: k / float64(shrink)},
		nets: loaded, placed: pl,
		asked: math.Inf(-1), search: math.Inf(-1),
	}, nil
}

func (p *placer) close() {
	p.nets.Close()
	closeIf(p.grey)
	closeIf(p.before)
}

// next goes on to the next frame. The flow to it and the net on it need nothing of each other and
// run at the same time.
func (p *placer) next(s frame) {
	p.frames, p.times = append(p.frames, s.Frame), append(p.times, s.TimeS)
	if s.grey == nil {
		p.miss()
		return
	}
	if s.again {
		for _, w := range p.people {
			w.pause()
		}
		p.byHand(len(p.times) - 1)
		s.grey.Close()
		return
	}
	closeIf(p.before)
	p.before, p.grey = p.grey, s.grey
	p.light += s.grey.Fit(&p.fit)
	var small pose.Picture
	colours := func() pose.Picture {
		if small == nil {
			small = p.nets.Picture(s.Picture, p.whole, p.shrink, &p.fit)
		}
		return small
	}
	n := len(p.times) - 1
	every := netRestingS
	if slices.ContainsFunc(p.alive(), func(w *walker) bool { return w.moves(p.gap()) }) {
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
			w.look(colours(), p.turn%2 == 1)
		}
	}
	g.Wait()
	for _, w := range p.people {
		w.settle(n, s.TimeS, ask)
	}
	p.byHand(n)
	every = searchEveryS
	if len(p.alive()) == 0 {
		every = searchLostS
	}
	if s.TimeS-p.search > every-0.001 {
		p.search = s.TimeS
		p.find(colours(), n, s.TimeS)
	}
	if small != nil {
		small.Close()
	}
}

// miss passes over a damaged frame: nothing is followed over it, and the net looks again after it.
func (p *placer) miss() {
	for _, w := range p.people {
		w.blink()
	}
	p.asked, p.search = math.Inf(-1), math.Inf(-1)
}

// gap is the time between the last two frames, s.
func (p *placer) gap() float64 {
	n := len(p.times)
	if n < 2 {
		return math.Inf(1)
	}
	return p.times[n-1] - p.times[n-2]
}

// find looks for people who are not followed yet. While nobody is, it also looks at
// parts of the picture, in which a small or dim athlete is found more easily.
func (p *placer) find(picture pose.Picture, n int, timeS float64) {
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
// not followed yet; whoever was lost near there is taken up again. Three looks settle the region, which the detector gives only
// roughly.
func (p *placer) meet(picture pose.Picture, r pose.Region, n int, timeS float64) {
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
	w.meet(n, timeS, &seen)
	p.byHand(n)
}

func (p *placer) alive() []*walker {
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
func (p *placer) byHand(n int) {
	i := slices.IndexFunc(p.placed.Frames, func(f PlacedFrame) bool { return f.Frame == n })
	if i < 0 {
		return
	}
	var best *walker
	least := math.Inf(1)
	for _, w := range p.alive() {
		var away, count float64
		for l, q := range p.placed.Frames[i].Points {
			if c := w.trails[l]; c.alive {
				away += r2.Norm(r2.Sub(c.at, p.to.ToPicture(r2.Vec{X: q.X, Y: q.Y}))) / w.body
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
		best.place(n, l, p.to.ToPicture(r2.Vec{X: q.X, Y: q.Y}), q.SD*p.to.K)
	}
}
