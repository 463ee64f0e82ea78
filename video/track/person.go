package track

import (
	"maps"
	"math"
	"slices"

	"steadfall/kinematics"
	"steadfall/video/plane"
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
	out.track = func(view kinematics.View) kinematics.Track {
		return w.track(p.scene, view, out.HeightPx, p.frozen)
	}
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
	for l, t := range w.paths {
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

// looksRight tells whether the toes point to the right of the picture.
func (w *walker) looksRight() bool {
	var ahead []float64
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		toe, heel := w.paths.net(kinematics.On(s, kinematics.Toe)), w.paths.net(kinematics.On(s, kinematics.Heel))
		for n, t := range toe {
			if h, ok := heel[n]; ok {
				ahead = append(ahead, t.X-h.X)
			}
		}
	}
	return len(ahead) > 0 && plane.Median(ahead) > 0
}
