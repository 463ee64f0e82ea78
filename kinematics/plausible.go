package kinematics

import "math"

// A body is looked at before it is measured: what cannot be one is refused, a point that lies
// where none of it can be is left out, and labels that change sides for a while are put back.
// The limits are wide: they part bodies from none, not one body from another (common practice, no
// source; people's lengths are within a few per cent of those in body.go).
const (
	wildShare  = 0.05 // of the body height that a point may be off the line between its neighbours
	wildWithin = 0.15 // s that those may be apart
	wildMost   = 0.1  // of a landmark's points that may be left out
)

// plausible is the track without the points that cannot be right, and what is said of them.
func plausible(t Track) (Track, []Note, error) {
	tall := t.tallPx()
	if math.IsNaN(tall) {
		return t, nil, nil // not enough of a body to hold anything against
	}
	out := t
	out.Points = map[Landmark][]Point{}
	for l, ps := range t.Points {
		out.Points[l] = append([]Point(nil), ps...)
	}
	var notes []Note
	if at, n := out.unswap(tall); n > 0 {
		notes = append(notes, warning(NoteLegsSwapped, HintCheckSwapped, at))
	}
	for _, l := range Landmarks() {
		switch at, n := out.tame(l, tall); {
		case float64(n) > wildMost*float64(len(t.TimeS)):
			return t, nil, badTrack(TrackPointsJump, l.Words())
		case n > 0:
			notes = append(notes, warning(NotePointWild, HintCheckPoint, l.Words(), at, float64(n)))
		}
	}
	return out, notes, out.body()
}

// gap is the way from one landmark to another on a frame, px; NaN where one was not seen.
func (t Track) gap(a, b Landmark, i int) pt {
	p, q := t.Points[a][i], t.Points[b][i]
	return pt{q.X - p.X, q.Y - p.Y}
}

// tallPx is about how tall the body is in the picture, px: the ankles' distance to the
// shoulders, or to the hips, where it is large.
func (t Track) tallPx() float64 {
	for _, top := range []struct {
		part  Part
		share float64
	}{{Shoulder, shoulderHeight - ankleHeight}, {Hip, hipHeight - ankleHeight}} {
		var long []float64
		for _, s := range []Side{Left, Right} {
			for i := range t.TimeS {
				long = append(long, t.gap(On(s, top.part), On(s, Ankle), i).len())
			}
		}
		if v := quantile(long, 0.9) / top.share; v > 0 {
			return v
		}
	}
	return math.NaN()
}

// tame takes out single points that lie far off the line between those before and after, which
// lie near one another; it tells when the first was, and how many.
func (t Track) tame(l Landmark, tall float64) (at float64, n int) {
	ps := t.Points[l]
	seen := make([]int, 0, len(ps))
	for i, p := range ps {
		if p.Seen() {
			seen = append(seen, i)
		}
	}
	for k := 1; k+1 < len(seen); k++ {
		a, b, c := seen[k-1], seen[k], seen[k+1]
		if t.TimeS[c]-t.TimeS[a] > wildWithin {
			continue
		}
		f := (t.TimeS[b] - t.TimeS[a]) / (t.TimeS[c] - t.TimeS[a])
		off := math.Hypot(ps[b].X-ps[a].X-f*(ps[c].X-ps[a].X), ps[b].Y-ps[a].Y-f*(ps[c].Y-ps[a].Y))
		limit := wildShare*tall + 5*ps[b].SD
		if off > limit && math.Hypot(ps[c].X-ps[a].X, ps[c].Y-ps[a].Y) < off {
			if n == 0 {
				at = t.TimeS[b]
			}
			n++
			ps[b] = Unseen()
			seen = append(seen[:k], seen[k+1:]...)
			k--
		}
	}
	return at, n
}

// unswap changes the legs' labels back where they change sides from one frame to the next and
// are far apart, and tells when they first did and on how many frames.
func (t Track) unswap(tall float64) (at float64, n int) {
	legs := []Part{Hip, Knee, Ankle}
	for i := 1; i < len(t.TimeS); i++ {
		stays, changes := 0.0, 0.0
		for _, p := range legs {
			l, r := t.Points[On(Left, p)], t.Points[On(Right, p)]
			stays += math.Hypot(l[i].X-l[i-1].X, l[i].Y-l[i-1].Y) + math.Hypot(r[i].X-r[i-1].X, r[i].Y-r[i-1].Y)
			changes += math.Hypot(l[i].X-r[i-1].X, l[i].Y-r[i-1].Y) + math.Hypot(r[i].X-l[i-1].X, r[i].Y-l[i-1].Y)
		}
		if stays > 0.1*tall && changes < stays/2 {
			if n == 0 {
				at = t.TimeS[i]
			}
			n++
			for _, p := range Parts {
				l, r := t.Points[On(Left, p)], t.Points[On(Right, p)]
				for j := i; j < len(t.TimeS); j++ {
					l[j], r[j] = r[j], l[j]
				}
			}
		}
	}
	return at, n
}

// The limits of a standing body's proportions, each many times as wide as people differ
// (Drillis and Contini 1966 on the means): thigh over shank 1.0, trunk over leg 0.59.
const (
	leastProportion, mostProportion = 0.5, 2.0
	leastTrunk, mostTrunk           = 0.3, 1.1
)

// body returns an error where the points are not those of a person who stands at some time.
func (t Track) body() error {
	var trunk, thigh, shank, under []float64
	for i := range t.TimeS {
		for _, side := range []Side{Left, Right} {
			back := t.gap(On(side, Shoulder), On(side, Hip), i)
			trunk, under = append(trunk, back.len()), append(under, back.y)
			thigh = append(thigh, t.gap(On(side, Hip), On(side, Knee), i).len())
			shank = append(shank, t.gap(On(side, Knee), On(side, Ankle), i).len())
		}
	}
	tall := func(v []float64) float64 { return quantile(v, 0.75) } // while standing, mostly
	within := func(v, least, most float64) bool { return math.IsNaN(v) || v >= least && v <= most }
	back, upper, lower := tall(trunk), tall(thigh), tall(shank)
	if !within(upper/lower, leastProportion, mostProportion) || !within(back/(upper+lower), leastTrunk, mostTrunk) || median(under) < 0 {
		return badTrack(TrackNoPerson)
	}
	return nil
}
