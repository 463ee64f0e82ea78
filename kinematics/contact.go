package kinematics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// A footContact is one foot coming down on something and staying there.
type footContact struct {
	side  Side
	part  Part    // the point of the foot that came first
	timeS float64 // to a fraction of a frame
	sdS   float64
	floor float64 // the resting height of that point, px
	rest  int     // first sample at rest
}

// The speeds, in body heights a second, that tell a foot that falls from one
// that stands. A foot off a 20 cm box comes down at 2 m/s, 1.1 body heights a
// second; a walking foot, at under 0.5 m/s (common practice, no source).
const (
	fallPeak  = 0.45
	fallFloor = 0.22
	restSpeed = 0.15
)

// fallChange is by how much of its standard deviation a point's error changes over the
// end of a fall: √(2·ar1Share·(1−exp(−way/ar1Way))) for the last 2 %
// of the body height that timeContact looks at.
const fallChange = 0.5

// heights are those of a point of a foot, px, downward, with their standard deviations; seen
// says of each whether it is from a frame, and not bridged.
type heights struct {
	y, sd []float64
	seen  []bool
}

func (m *motion) heights(l Landmark) heights { return heights{m.raw[l].y, m.sd[l], m.onFrame[l]} }

// reversed are the heights with time turned round.
func (h heights) reversed() heights {
	r := heights{slices.Clone(h.y), slices.Clone(h.sd), slices.Clone(h.seen)}
	slices.Reverse(r.y)
	slices.Reverse(r.sd)
	slices.Reverse(r.seen)
	return r
}

// contactsOf finds where a point comes down fast and then rests. The time is where the line
// through the last of the fall meets the level at which the point then rests, so that it is
// not bound to a frame. body is the athlete's height in px.
func contactsOf(h heights, g grid, body float64) []footContact {
	v := derivative(smooth(h.y, topCutoff(g.fs), g.fs), g.fs)
	var out []footContact
	for i := 0; i < g.n; i++ {
		if !(v[i] > fallFloor*body) {
			continue
		}
		from, peak := i, 0.0
		for ; i < g.n && v[i] > fallFloor*body; i++ {
			peak = math.Max(peak, v[i])
		}
		if peak < fallPeak*body {
			continue
		}
		if t, ok := restAfter(h, v, from, i, g, body); ok {
			out = append(out, t)
		}
	}
	return out
}

// restAfter looks for the rest after a fall over samples [from, to) and times the
// contact.
func restAfter(h heights, v []float64, from, to int, g grid, body float64) (footContact, bool) {
	still := max(int(0.06*g.fs), 3)
	latest := min(to+int(0.12*g.fs), g.n-still)
	for r := to - 1; r <= latest; r++ {
		if r < 0 || !quietOver(v, r, r+still, restSpeed*body) {
			continue
		}
		end := r
		for end < g.n && end < r+int(0.25*g.fs) && math.Abs(v[end]) < restSpeed*body {
			end++
		}
		floor := median(h.y[r:end])
		return timeContact(h, from, r, floor, g, body)
	}
	return footContact{}, false
}

func quietOver(v []float64, from, to int, limit float64) bool {
	for i := from; i < to; i++ {
		if !(math.Abs(v[i]) < limit) {
			return false
		}
	}
	return true
}

// lastOfFallS is how much of the end of a fall, in seconds, tells when it ended: before,
// the foot may turn about the ankle.
const lastOfFallS = 0.06

// footFall is how much of gravity a foot falls with before it lands: between none, as in
// the rendered clips, whose athletes reach for the floor, and all, as a hanging foot does.
const footFall = 0.5

// timeContact fits the end of the fall, between 0.4 % and 9 % of the body height
// above the floor, and meets it with the floor. Only what was seen tells it.
func timeContact(h heights, from, rest int, floor float64, g grid, body float64) (footContact, bool) {
	var ts, ys, ws []float64
	worst := 0.0
	use := func(i int) {
		ts, ys, ws = append(ts, g.time(i)), append(ys, h.y[i]), append(ws, 1/(1+sq(h.sd[i])))
		worst = math.Max(worst, h.sd[i])
	}
	for i := rest; i >= from; i-- {
		above := floor - h.y[i]
		if above > 0.09*body || len(ts) >= 3 && ts[0]-g.time(i) > lastOfFallS {
			break
		}
		if h.seen[i] && above > 0.004*body {
			use(i)
		}
	}
	if len(ts) == 1 && rest > from { // 30 fps: one sample near the floor, take the one before it
		if i := h.seenBefore(g.near(ts[0])); i >= 0 {
			use(i)
		}
	}
	t, perPx, ok := meets(ts, ys, ws, floor, body)
	if !ok {
		return footContact{}, false
	}
	// The speed tells how a height error becomes a time error: not all of it, since the
	// floor's height is told by the same point, but what changes over the fall. A tenth of
	// a frame is what the shutter leaves open.
	sdS := math.Hypot(fallChange*worst*perPx, 0.1/g.fs)
	if lo, hi := h.hole(rest, floor, g, body); hi > lo {
		t, sdS = math.Min(math.Max(t, lo), hi), math.Max(sdS, (hi-lo)/math.Sqrt(12))
	} else if t < slices.Min(ts)-1/g.fs || t > g.time(rest)+1/g.fs {
		return footContact{}, false
	}
	return footContact{timeS: t, sdS: sdS, floor: floor, rest: rest}, true
}

// meets is when a fall of those times and heights meets the floor, by a parabola with a share
// of gravity, and how long the point then takes for a px.
func meets(ts, ys, ws []float64, floor, body float64) (t, perPx float64, ok bool) {
	if len(ts) < 2 {
		return 0, 0, false
	}
	floats.Scale(1/floats.Max(ws), ws) // gonum divides by the sum of the weights less one
	mid, bend := stat.Mean(ts, nil), footFall*100*Gravity*body/typicalStatureCM
	x, y := make([]float64, len(ts)), make([]float64, len(ys))
	for i := range ts {
		x[i] = ts[i] - mid
		y[i] = ys[i] - bend*sq(x[i])/2
	}
	a, b := stat.LinearRegression(x, y, ws, false)
	root := b*b + 2*bend*(floor-a)
	if !(b > 0 && root > 0) {
		return 0, 0, false
	}
	return mid + (math.Sqrt(root)-b)/bend, 1 / math.Sqrt(root), true // the root is the speed on the floor
}

// seenBefore is the last sample before i that was seen, or -1.
func (h heights) seenBefore(i int) int {
	for i--; i >= 0 && !h.seen[i]; i-- {
	}
	return i
}

// hole is the time, s, in which contact lies where the end of the fall was not seen: from the
// last sample before that to the first after it that does not fall. There is none, and hi is not
// above lo, where the samples follow one another as they do around it, or two fall after it, which
// tell contact.
func (h heights) hole(rest int, floor float64, g grid, body float64) (lo, hi float64) {
	var at, apart []int // samples that were seen, back from the rest, and the steps between them
	for i := h.seenBefore(rest + 1); i >= 0 && len(at) < 8; i = h.seenBefore(i) {
		if n := len(at); n > 0 {
			apart = append(apart, at[n-1]-i)
		}
		at = append(at, i)
	}
	if len(at) < 3 {
		return 0, 0
	}
	usual := slices.Sorted(slices.Values(apart))[len(apart)/2]
	landed, falls := 0, 0
	for k, step := range apart {
		if k > 0 && floor-h.y[at[k]] > 2*h.sd[at[k]] && (h.y[at[k-1]]-h.y[at[k]])*g.fs > fallPeak*body*float64(apart[k-1]) {
			falls++
		} else if falls == 0 {
			landed = k
		}
		if falls == 2 {
			break
		}
		if step > usual+usual/2 {
			return g.time(at[k+1]), g.time(at[landed])
		}
	}
	return 0, 0
}

// footContacts returns when the foot comes down: the earlier of toe and heel for
// each landing, in order. A foot of which only the ankle is seen is timed by it.
func (m *motion) footContacts(s Side, body float64) []footContact {
	parts := []Part{Toe, Heel}
	if m.view == Front {
		parts = []Part{Toe} // from the front the shoe hides the heel
	}
	if !m.has(On(s, Toe)) {
		parts = []Part{Heel, Ankle}
	}
	out := m.footEvents(s, parts, func(h heights) []footContact { return contactsOf(h, m.grid, body) })
	for i, t := range out {
		if toe, ok := m.raw[On(s, Toe)]; ok && t.part == Heel && math.IsNaN(valueAt(toe.y, m.position(t.timeS-toeLeadMost))) {
			out[i].sdS = math.Hypot(t.sdS, toeLeadMost/2)
		}
	}
	return out
}

// toeLeadMost is how long, in seconds, a toe comes down before its heel at the
// most (common practice, no source). Where the toe was out of sight then, a contact
// told by the heel may be that much late.
const toeLeadMost = 0.06

// footLiftoffs returns when the foot leaves the floor: a contact of the toe, which
// leaves last, with the time turned round.
func (m *motion) footLiftoffs(s Side, body float64) []footContact {
	last := Toe
	if !m.has(On(s, Toe)) {
		last = Ankle
	}
	return m.footEvents(s, []Part{last}, func(h heights) []footContact {
		ts := contactsOf(h.reversed(), m.grid, body)
		for i := range ts {
			ts[i].timeS = m.time(0) + m.time(m.n-1) - ts[i].timeS
			ts[i].rest = m.n - 1 - ts[i].rest
		}
		slices.Reverse(ts)
		return ts
	})
}

// sameContactS is how far apart toe and heel may meet the floor in one landing.
const sameContactS = 0.15

func (m *motion) footEvents(s Side, parts []Part, find func(heights) []footContact) []footContact {
	var out []footContact
	for _, p := range parts {
		if _, ok := m.raw[On(s, p)]; !ok {
			continue
		}
		for _, t := range find(m.heights(On(s, p))) {
			t.side, t.part = s, p
			out = mergeContact(out, t)
		}
	}
	return out
}

// mergeContact keeps, of two contacts of one landing, the earlier one, unless the
// difference is within what they are known to: then the toe's, which comes first in
// nearly all landings, or else the surer one.
func mergeContact(have []footContact, t footContact) []footContact {
	for i, h := range have {
		if math.Abs(h.timeS-t.timeS) > sameContactS {
			continue
		}
		unsure := math.Abs(h.timeS-t.timeS) < math.Hypot(h.sdS, t.sdS)
		better := t.timeS < h.timeS
		if unsure {
			better = t.part == Toe || (h.part != Toe && t.sdS < h.sdS)
		}
		if better {
			have[i] = t
		}
		return have
	}
	at := len(have)
	for at > 0 && have[at-1].timeS > t.timeS {
		at--
	}
	return append(have[:at], append([]footContact{t}, have[at:]...)...)
}

// liftedShare of the body height over the foot that landed, the other one is off the floor: of two
// on the floor, a foot's length apart in depth, the one behind looks up to 0.04 higher.
const liftedShare = 0.07
