package kinematics

import "math"

// The thresholds of stillness, in body heights a second, on the hips filtered at
// stillCutoffHz. In the trade a landing is still when sinking and rising have
// stopped; a one-foot hold still sways (common practice, no source).
const (
	stillCutoffHz = 1.5
	restVertical  = 0.012 // 2 cm/s: sinking or rising has just stopped
	keepVertical  = 0.075 // 13 cm/s: vertical speed that the hold may keep
	keepSpeed     = 0.18  // 32 cm/s: speed in any direction that the hold may keep
	stillFor      = 0.5   // s that it must last
)

// HoldLimits is the stated definition of still, for reports.
const HoldLimits = "still: hips stop sinking or rising (under 1.2 % of stature a second) and for 0.5 s keep under 7.5 % of stature a second vertically and 18 % in any direction"

// HoldEnding says why a hold ended.
type HoldEnding string

// The ways a hold ends.
const (
	HeldToEnd  HoldEnding = "held to the end of the clip"
	LeftPlace  HoldEnding = "the hips left the place they were held in"
	FootMoved  HoldEnding = "a standing foot moved"
	OtherFoot  HoldEnding = "the other foot touched down"
	OutOfSight HoldEnding = "the hips or a foot were lost from sight"
	NeverStill HoldEnding = "never still for half a second"
	NextJump   HoldEnding = "the athlete jumped again"
)

// open reports whether the hold may have gone on after its end.
func (e HoldEnding) open() bool { return e == HeldToEnd || e == OutOfSight }

// hold is when the athlete stood still and how that ended.
type hold struct {
	from, to float64 // s; NaN where there is none
	ending   HoldEnding
	since    bool // it may have begun before, when the hips were not seen
}

// slowHips is the hips' way filtered for judging stillness.
func (m *motion) slowHips() path {
	raw := m.middle(m.raw, Hip)
	return path{smooth(raw.x, stillCutoffHz, m.fs), smooth(raw.y, stillCutoffHz, m.fs)}
}

// findHold looks for the hold after the lowest point. feet are the landing feet, by time;
// until is when the athlete jumps again, or the end of the track.
func (m *motion) findHold(lowest, until float64, feet []footContact, body float64) hold {
	hip := m.slowHips()
	start := m.stillFrom(hip, lowest, until, body)
	if start < 0 {
		return hold{from: math.NaN(), to: math.NaN(), ending: NeverStill}
	}
	_, to := m.span(lowest, until)
	h := hold{from: m.time(start), to: m.time(to), ending: HeldToEnd}
	h.since = !m.seen(hip.x, lowest, h.from)
	if until < m.time(m.n-1) {
		h.ending = NextJump
	}
	for _, x := range m.watched(feet, hip) {
		if t := m.lostAt(x, h.from, h.to); t < h.to {
			h.to, h.ending = t, OutOfSight
		}
	}
	m.endByHips(&h, hip, start, body)
	m.endByFeet(&h, feet, body)
	return h
}

// watched is where across the picture is what must be seen for as long as the hold is to be
// believed: the hips and some part of each foot, from the side without the far one, which is
// hidden half of the time.
func (m *motion) watched(feet []footContact, hip path) [][]float64 {
	out := [][]float64{hip.x}
	for _, s := range []Side{Left, Right} {
		if near := m.view.Near(); len(feet) == 0 || near != Both && s != near {
			continue
		}
		foot := unseenAll(m.n)
		for _, part := range footParts {
			if p, ok := m.pos[On(s, part)]; ok {
				for i, x := range p.x {
					if !math.IsNaN(x) {
						foot[i] = x
					}
				}
			}
		}
		out = append(out, foot)
	}
	return out
}

// lostAt is when something is first lost between two times, for longer than is bridged; the
// later time where it is not.
func (m *motion) lostAt(x []float64, from, to float64) float64 {
	a, b := m.span(from, to)
	since := a
	for i := a; i <= b; i++ {
		if !math.IsNaN(x[i]) {
			since = i + 1
		}
		if float64(i-since+1) > maxBridgeS*m.fs {
			return m.time(max(since-1, a))
		}
	}
	return to
}

// stillFrom is the first sample between two times from which the hips keep still; -1
// where they never do.
func (m *motion) stillFrom(hip path, lowest, until, body float64) int {
	vx, vy := derivative(hip.x, m.fs), derivative(hip.y, m.fs)
	from, to := m.span(lowest, until)
	keep := int(stillFor * m.fs)
	for i := from; i+keep <= to; i++ {
		// At few frames a second sinking may turn into rising between two samples.
		turned := i > from && vy[i-1]*vy[i] < 0
		if (turned || math.Abs(vy[i]) < restVertical*body) && calm(vx, vy, i, i+keep, body) {
			return i
		}
	}
	return -1
}

func calm(vx, vy []float64, from, to int, body float64) bool {
	for i := from; i < to; i++ {
		if !(math.Abs(vy[i]) < keepVertical*body && math.Hypot(vx[i], vy[i]) < keepSpeed*body) {
			return false
		}
	}
	return true
}

// endByHips ends the hold when the hips leave the room they swayed in over its
// start, by more than that room again and at least 2 % of stature. The end
// is when they last were inside it.
func (m *motion) endByHips(h *hold, hip path, start int, body float64) {
	_, early := m.span(h.from, math.Min(h.from+placeS, h.to))
	if early < start {
		return
	}
	c := pt{median(hip.x[start : early+1]), median(hip.y[start : early+1])}
	room := 0.0
	for i := start; i <= early; i++ {
		room = math.Max(room, hip.at(i).to(c))
	}
	_, end := m.span(h.from, h.to)
	inside := early
	for i := early; i <= end; i++ {
		d := hip.at(i).to(c)
		if d <= room {
			inside = i
		}
		if d > math.Max(2.2*room, room+0.02*body) {
			h.to, h.ending = m.time(inside), LeftPlace
			return
		}
	}
}

// endByFeet ends the hold when a standing foot steps or hops, or a foot that was
// off the floor comes down beside it. One that comes down before the athlete is still leaves
// none.
func (m *motion) endByFeet(h *hold, feet []footContact, body float64) {
	for _, s := range []Side{Left, Right} {
		stands := false
		for _, t := range feet {
			stands = stands || t.side == s
		}
		if !stands {
			for _, t := range m.footContacts(s, body) {
				if len(feet) == 0 || t.timeS < feet[0].timeS || t.timeS > h.to || math.Abs(t.floor-feet[0].floor) > liftedShare*body {
					continue
				}
				h.to, h.ending = t.timeS, OtherFoot
				if h.to < h.from {
					h.from, h.to = math.NaN(), math.NaN()
					return
				}
			}
			continue
		}
		if t, moved := m.footMoves(s, h.from, h.to, body); moved {
			h.to, h.ending = t, FootMoved
		}
	}
}

// stepShare is 3 cm on a person of 175 cm: a foot that moves more has stepped.
const stepShare = 3.0 / 175

// placeS is how long the start of a hold is in which what moves later has its place, s.
const placeS = 0.8

// footMoves tells when, within [from, to], the ankle leaves its place by more
// than a step. Its place is where it was at the start: a foot that steps late may stand
// longer where it steps to.
func (m *motion) footMoves(s Side, from, to, body float64) (float64, bool) {
	l := On(s, Ankle)
	if !m.has(l) {
		return 0, false
	}
	a, b := m.span(from, to)
	p := m.pos[l]
	if a >= b {
		return 0, false
	}
	_, early := m.span(from, math.Min(from+placeS, to))
	c := pt{median(p.x[a : early+1]), median(p.y[a : early+1])}
	for i := a; i <= b; i++ {
		if p.at(i).to(c) > math.Max(stepShare*body, 3*m.sd[l][i]) {
			return m.time(i), true
		}
	}
	return 0, false
}
