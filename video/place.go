//go:build cgo

package video

import (
	"cmp"
	"context"
	"fmt"
	"image"
	"math"
	"slices"
	"sync"

	"gocv.io/x/gocv"
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/clip"
	"steadfall/video/mat"
	"steadfall/video/plane"
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
	p.frozen, err = stream(ctx, film, p.whole, p.shrink, func(s shot) {
		p.take(s)
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
	small         image.Point // size of the small picture
	to            plane.Cut   // of it
	detector      detector
	poser         poser
	grey, before  gocv.Mat // this frame and the one before
	frames        []int
	times         []float64
	frozen        []bool // of each frame
	people        []*walker
	placed        Placements
	asked, search float64 // when the net and the detector were last used
	turn          int     // counts uses of the net; every second is mirrored
	light         float64 // sum of the pictures' mean grey
	gain          float64 // of dark clips; 0 until the first picture
}

func newPlacer(nets Nets, width, height int, pl Placements) (*placer, error) {
	d, err := newDetector(nets.Detector)
	if err != nil {
		return nil, fmt.Errorf("the net that finds people cannot be loaded: %w", err)
	}
	q, err := newPoser(nets)
	if err != nil {
		d.close()
		return nil, fmt.Errorf("the net that places points cannot be loaded: %w", err)
	}
	shrink := max(1, int(math.Round(float64(max(width, height))/placeSide)))
	area := mat.Divisible(width, height, shrink)
	small := area.Size().Div(shrink)
	k := math.Min(1, placeSide/float64(max(small.X, small.Y)))
	small = image.Pt(int(math.Round(float64(small.X)*k)), int(math.Round(float64(small.Y)*k)))
	return &placer{
		width: width, height: height, whole: area, shrink: shrink, small: small, to: plane.Cut{K: k / float64(shrink)},
		detector: d, poser: q, placed: pl,
		grey: gocv.NewMat(), before: gocv.NewMat(),
		asked: math.Inf(-1), search: math.Inf(-1),
	}, nil
}

func (p *placer) close() {
	p.detector.close()
	p.poser.close()
	mat.CloseAll([]gocv.Mat{p.grey, p.before})
}

// A clip whose first picture has a mean under lit, of 255, is brightened to that, by no more
// than mostGain; to 90 the net puts points no better (DEVELOPERS.md). The gain stays the same
// through the clip, since the flow takes a change of brightness for motion.
const (
	lit      = 50
	mostGain = 5
)

// fit makes a picture as small and, where the clip is dark, as light as it is looked at.
func (p *placer) fit(m *gocv.Mat) {
	if m.Cols() != p.small.X || m.Rows() != p.small.Y {
		gocv.Resize(*m, m, p.small, 0, 0, gocv.InterpolationArea)
	}
	if p.gain == 0 {
		p.gain = math.Min(math.Max(lit/math.Max(m.Mean().Val1, 1), 1), mostGain)
	}
	if p.gain > 1 {
		m.ConvertToWithParams(m, gocv.MatTypeCV8U, float32(p.gain), 0)
	}
}

// take takes the next frame. The flow to it and the net on it need nothing of each other and
// run at the same time.
func (p *placer) take(s shot) {
	p.frames, p.times = append(p.frames, s.Frame), append(p.times, s.TimeS)
	if s.grey.Empty() {
		p.miss()
		s.grey.Close()
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
	p.before.Close()
	p.before, p.grey = p.grey, s.grey
	p.fit(&p.grey)
	p.light += p.grey.Mean().Val1 / p.gain
	var small gocv.Mat
	made := false
	colours := func() gocv.Mat {
		if !made {
			small, made = mat.Colours(s.Picture, p.whole, p.shrink), true
			p.fit(&small)
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
			w.look(p.poser, colours(), p.turn%2 == 1)
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
	if made {
		small.Close()
	}
}

// miss takes a damaged frame: nothing is followed over it, and the net looks again after it.
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
func (p *placer) find(small gocv.Mat, n int, timeS float64) {
	for _, r := range p.detector.people(small) {
		p.meet(small, r, n, timeS)
	}
	for _, part := range tiles(small.Cols(), small.Rows()) {
		if len(p.alive()) > 0 {
			return
		}
		cut := small.Region(part)
		for _, r := range p.detector.people(cut) {
			r.mid = r2.Add(r.mid, r2.Vec{X: float64(part.Min.X), Y: float64(part.Min.Y)})
			p.meet(small, r, n, timeS)
		}
		cut.Close()
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
func (p *placer) meet(small gocv.Mat, r region, n int, timeS float64) {
	known := func() bool {
		return len(p.alive()) >= mostPeople || slices.ContainsFunc(p.alive(), func(w *walker) bool { return w.at.covers(r) })
	}
	if known() {
		return
	}
	var seen pose
	for range 3 {
		if seen = p.poser.see(small, r, false); !seen.usable() {
			return
		}
		r = seen.next
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

// covers reports whether another region is about the same person.
func (r region) covers(o region) bool {
	return r2.Norm(r2.Sub(r.mid, o.mid)) < 0.25*math.Min(r.side, o.side)
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
