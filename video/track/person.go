package track

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
	"steadfall/video/pose"
)

// sideRatio is the width of the shoulders over the length of the trunk below which a
// person stands sideways. From the front it is 0.8 to 0.9 (.259 and .288 of the height,
// Drillis and Contini 1966), from the side under 0.2.
const sideRatio = 0.4

// A head is over the shoulders by 0.4 of the trunk: the ears are midway between chin and crown, at
// .935 of the height, shoulders at .818, hips at .530 (Drillis and Contini 1966). The limits part
// people, bent or looking up, from what is none; they are common practice, no source.
const (
	leastHead = 0.1
	mostHead  = 1.0
)

// hasHead reports whether what was followed has a head where people have one.
func (w *walker) hasHead() bool {
	h := plane.Median(w.heads)
	return h > leastHead && h < mostHead
}

// Person is one person of a clip.
type Person struct {
	View     kinematics.View // how they stand to the camera, from most of their frames
	Sideways kinematics.View // which side view it would be
	Behind   bool            // they are seen from behind
	HeightPx float64         // about
	MidX     float64         // where they are on average, px
	FeetOut  float64         // share of the frames on which a foot is outside the picture
	Swaps    int             // pictures on which the net took left for right; put right

	track func(kinematics.View) kinematics.Track
}

// Track is the person's track, taken as that view. Points outside the picture, points
// that are too uncertain and the covered points of the far side are not in it.
func (q Person) Track(view kinematics.View) kinematics.Track { return q.track(view) }

// person sums up what was seen of a walker.
func (p *Placer) person(w *walker) Person {
	out := Person{View: kinematics.Front, Sideways: kinematics.SideLeft, HeightPx: plane.Median(w.talls) / p.to.K, Swaps: w.swaps}
	out.track = func(view kinematics.View) kinematics.Track { return p.track(w, out.HeightPx, view) }
	if w.looksRight() {
		out.Sideways = kinematics.SideRight
	}
	if r := plane.Median(w.ratios); math.Abs(r) < sideRatio {
		out.View = out.Sideways
	} else {
		out.Behind = r < 0
	}
	var xs []float64
	outside, all := 0, 0
	for l, t := range w.trails {
		before := -1
		for _, n := range slices.Sorted(maps.Keys(t.net)) {
			q := p.to.ToFrame(t.net[n])
			switch l.Part() {
			case kinematics.Hip:
				xs = append(xs, q.X)
			case kinematics.Toe, kinematics.Heel: // each look stands for the frames since the one before
				all += n - before
				if !p.inside(q) {
					outside += n - before
				}
			}
			before = n
		}
	}
	if len(xs) > 0 {
		out.MidX = plane.Median(xs)
	}
	out.FeetOut = float64(outside) / math.Max(1, float64(all))
	return out
}

func (p *Placer) inside(v r2.Vec) bool {
	return v.X >= 0 && v.Y >= 0 && v.X <= float64(p.width-1) && v.Y <= float64(p.height-1)
}

// looksRight tells whether the toes point to the right of the picture.
func (w *walker) looksRight() bool {
	var ahead []float64
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		toe, heel := w.trails[kinematics.On(s, kinematics.Toe)].net, w.trails[kinematics.On(s, kinematics.Heel)].net
		for n, t := range toe {
			if h, ok := heel[n]; ok {
				ahead = append(ahead, t.X-h.X)
			}
		}
	}
	return len(ahead) > 0 && plane.Median(ahead) > 0
}

// track is the track of a person of that height, px of the frame, taken as that view.
func (p *Placer) track(w *walker, heightPx float64, view kinematics.View) kinematics.Track {
	body := heightPx * p.to.K
	t := kinematics.NewTrack(view, p.width, p.height, p.frames, p.times)
	blind, bends := lostStep*body, w.bends()
	frameS := (p.times[len(p.times)-1] - p.times[0]) / float64(len(p.times)-1)
	for _, l := range kinematics.Landmarks() {
		c := w.trails[l]
		e, bent := pose.ErrorOf(l, view)
		net := straightened(c.net, bends, r2.Scale(body, bent))
		switch {
		case view.IsSide() && l.Part() == kinematics.Hip:
			net = w.onTrunk(l, view, net, bends, body)
		case view.IsSide() && l.Part() == kinematics.Ankle:
			net = p.onFoot(w, l, view, net, bends, body)
		}
		pos, sd := smoothBias(len(p.times), &c.steps, net, c.hand, e.Scaled(body, frameS), blind*blind)
		for i := range pos {
			at := p.to.ToFrame(pos[i])
			if sd[i] > lostShare*body || !p.inside(at) {
				continue
			}
			t.Points[l][i] = kinematics.Point{X: at.X, Y: at.Y, SD: sd[i] / p.to.K, Source: c.source(i)}
		}
	}
	if view.IsSide() {
		doubtHanging(t, heightPx)
	}
	hideFarLeg(t, heightPx)
	unseen(t, p.frozen)
	return t
}

// source says where the place on frame i comes from.
func (t *trail) source(i int) kinematics.Source {
	if _, ok := t.hand[i]; ok {
		return kinematics.Placed
	}
	if _, ok := t.net[i]; ok {
		return kinematics.Model
	}
	return kinematics.Tracked
}

// doubtHanging widens the standard deviations of the parts of feet in the air that no
// person placed.
func doubtHanging(t kinematics.Track, bodyPx float64) {
	for _, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		air := inTheAir(t.Points[kinematics.On(side, kinematics.Ankle)], t.TimeS, bodyPx)
		for part, sd := range pointed {
			ps := t.Points[kinematics.On(side, part)]
			for i := range ps {
				if ps[i].Seen() && ps[i].Source != kinematics.Placed {
					ps[i].SD = math.Hypot(ps[i].SD, sd*bodyPx*air[i])
				}
			}
		}
	}
}

// limbWidth is half the width of a limb with its cloth, as a share of the body height.
const limbWidth = 0.04

// hideFarLeg takes out of a side view the points of the far side that the near leg or
// the trunk covers: the net puts them somewhere all the same, but nobody saw them.
func hideFarLeg(t kinematics.Track, bodyPx float64) {
	near := t.View.Near()
	if near == kinematics.Both {
		return
	}
	for i := range t.Frame {
		var body []r2.Vec
		for _, part := range kinematics.Parts {
			if q := t.Points[kinematics.On(near, part)][i]; q.Seen() {
				body = append(body, r2.Vec{X: q.X, Y: q.Y})
			}
		}
		for _, part := range kinematics.Parts {
			far := t.Points[kinematics.On(near.Other(), part)]
			if !far[i].Seen() || far[i].Source == kinematics.Placed {
				continue
			}
			at := r2.Vec{X: far[i].X, Y: far[i].Y}
			if slices.ContainsFunc(pairs(body), func(s [2]r2.Vec) bool { return plane.ToLine(at, s[0], s[1]) < limbWidth*bodyPx }) {
				far[i] = kinematics.Unseen()
			}
		}
	}
}

func pairs(ps []r2.Vec) [][2]r2.Vec {
	var out [][2]r2.Vec
	for i := 1; i < len(ps); i++ {
		out = append(out, [2]r2.Vec{ps[i-1], ps[i]})
	}
	return out
}
