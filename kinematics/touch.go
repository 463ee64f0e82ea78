package kinematics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// A touch is one foot coming down on something and staying there.
type touch struct {
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
// end of a fall: √(2·wanderShare·(1−exp(−way/wanderWay))) for the last 2 %
// of the body height that timeTouch looks at.
const fallChange = 0.5

// touches finds where the point with heights y (px, downward) comes down fast
// and then rests. The time is where the line through the last of the fall meets
// the level at which the point then rests, so that it is not bound to a frame.
// body is the athlete's height in px; sd the points' standard deviations.
func touches(y, sd []float64, g grid, body float64) []touch {
	v := derivative(smooth(y, topCutoff(g.fs), g.fs), g.fs)
	var out []touch
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
		if t, ok := settle(y, sd, v, from, i, g, body); ok {
			out = append(out, t)
		}
	}
	return out
}

// settle looks for the rest after a fall over samples [from, to) and times the
// touch.
func settle(y, sd, v []float64, from, to int, g grid, body float64) (touch, bool) {
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
		floor := median(y[r:end])
		return timeTouch(y, sd, from, r, floor, g, body)
	}
	return touch{}, false
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

// timeTouch fits the end of the fall, between 0.4 % and 9 % of the body height
// above the floor, and meets it with the floor.
func timeTouch(y, sd []float64, from, rest int, floor float64, g grid, body float64) (touch, bool) {
	var ts, ys, ws []float64
	worst := 0.0
	for i := rest; i >= from; i-- {
		above := floor - y[i]
		if math.IsNaN(above) || above > 0.09*body || len(ts) >= 3 && ts[0]-g.time(i) > lastOfFallS {
			break
		}
		if above > 0.004*body {
			ts, ys, ws = append(ts, g.time(i)), append(ys, y[i]), append(ws, 1/(1+sd[i]*sd[i]))
			worst = math.Max(worst, sd[i])
		}
	}
	if len(ts) == 1 && rest > from { // 30 fps: one sample near the floor, take the one before it
		if i := g.near(ts[0]) - 1; i >= 0 && !math.IsNaN(y[i]) {
			ts, ys, ws = append(ts, g.time(i)), append(ys, y[i]), append(ws, 1/(1+sd[i]*sd[i]))
			worst = math.Max(worst, sd[i])
		}
	}
	if len(ts) < 2 {
		return touch{}, false
	}
	floats.Scale(1/floats.Max(ws), ws) // gonum divides by the sum of the weights less one
	mid, bend := stat.Mean(ts, nil), footFall*100*Gravity*body/typicalStatureCM
	for i, t := range ts {
		ts[i] = t - mid
		ys[i] -= bend * sq(ts[i]) / 2
	}
	a, b := stat.LinearRegression(ts, ys, ws, false)
	root := b*b + 2*bend*(floor-a)
	if !(b > 0 && root > 0) {
		return touch{}, false
	}
	t := (math.Sqrt(root) - b) / bend // where the parabola meets the floor
	b += bend * t                     // its speed there
	t += mid
	floats.AddConst(mid, ts)
	if t < floats.Min(ts)-1/g.fs || t > g.time(rest)+1/g.fs {
		return touch{}, false
	}
	// The speed tells how a height error becomes a time error: not all of it, since the
	// floor's height is told by the same point, but what changes over the fall. A tenth of
	// a frame is what the shutter leaves open.
	sdT := math.Hypot(fallChange*worst/b, 0.1/g.fs)
	return touch{timeS: t, sdS: sdT, floor: floor, rest: rest}, true
}

// footTouches returns when the foot comes down: the earlier of toe and heel for
// each landing, in order. A foot of which only the ankle is seen is timed by it.
func (m *motion) footTouches(s Side, body float64) []touch {
	parts := []Part{Toe, Heel}
	if m.view == Front {
		parts = []Part{Toe} // from the front the shoe hides the heel
	}
	if !m.has(On(s, Toe)) {
		parts = []Part{Heel, Ankle}
	}
	out := m.footEvents(s, parts, func(y, sd []float64) []touch { return touches(y, sd, m.grid, body) })
	for i, t := range out {
		if toe, ok := m.raw[On(s, Toe)]; ok && t.part == Heel && math.IsNaN(valueAt(toe.y, m.place(t.timeS-toeLeadMost))) {
			out[i].sdS = math.Hypot(t.sdS, toeLeadMost/2)
		}
	}
	return out
}

// toeLeadMost is how long, in seconds, a toe comes down before its heel at the
// most (common practice, no source). Where the toe was out of sight then, a contact
// told by the heel may be that much late.
const toeLeadMost = 0.06

// footLiftoffs returns when the foot leaves the floor: a touch of the toe, which
// leaves last, with the time turned round.
func (m *motion) footLiftoffs(s Side, body float64) []touch {
	last := Toe
	if !m.has(On(s, Toe)) {
		last = Ankle
	}
	return m.footEvents(s, []Part{last}, func(y, sd []float64) []touch {
		ry, rsd := append([]float64(nil), y...), append([]float64(nil), sd...)
		slices.Reverse(ry)
		slices.Reverse(rsd)
		ts := touches(ry, rsd, m.grid, body)
		for i := range ts {
			ts[i].timeS = m.time(0) + m.time(m.n-1) - ts[i].timeS
			ts[i].rest = m.n - 1 - ts[i].rest
		}
		slices.Reverse(ts)
		return ts
	})
}

// sameTouchS is how far apart toe and heel may meet the floor in one landing.
const sameTouchS = 0.15

func (m *motion) footEvents(s Side, parts []Part, find func(y, sd []float64) []touch) []touch {
	var out []touch
	for _, p := range parts {
		raw, ok := m.raw[On(s, p)]
		if !ok {
			continue
		}
		for _, t := range find(raw.y, m.sd[On(s, p)]) {
			t.side, t.part = s, p
			out = mergeTouch(out, t)
		}
	}
	return out
}

// mergeTouch keeps, of two touches of one landing, the earlier one, unless the
// difference is within what they are known to: then the toe's, which comes first in
// nearly all landings, or else the surer one.
func mergeTouch(have []touch, t touch) []touch {
	for i, h := range have {
		if math.Abs(h.timeS-t.timeS) > sameTouchS {
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
	return append(have[:at], append([]touch{t}, have[at:]...)...)
}
