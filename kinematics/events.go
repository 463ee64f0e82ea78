package kinematics

import (
	"math"
	"slices"
)

// EventName names a moment of a landing.
type EventName string

// The events.
const (
	DropStart      EventName = "drop_start"      // the hips start to fall for good; in a snap-down, the tallest instant
	Takeoff        EventName = "takeoff"         // the last foot leaves the floor
	InitialContact EventName = "initial_contact" // the foot first touches
	Lowest         EventName = "lowest"          // the hips are lowest after contact
	StillFrom      EventName = "still_from"      // the athlete has stopped moving
	HoldEnd        EventName = "hold_end"        // the hold is over
	LandingAgain   EventName = "landing"         // a later contact, of the jump after this landing
)

// Event is a moment with one standard deviation. Frame is the clip's frame
// nearest to it.
type Event struct {
	Name  EventName `json:"name"`
	Side  Side      `json:"side"`
	TimeS float64   `json:"time_s"`
	Frame int       `json:"frame"`
	SDS   float64   `json:"sd_s"`
}

// contactGap is the longest time between the two feet of one landing, s.
const contactGap = 0.25

// fallOverS is over how long the speed of the hips is taken, s: the fastest of single frames is that
// with the most jitter.
const fallOverS = 1.0 / 30

// hipFall is the speed, in body heights a second, the hips have when a landing
// starts: 0.35 is 0.6 m/s, a drop of 2 cm. A step on the flat has none.
const hipFall = 0.35

// landed is one landing: the contacts of the feet that took part, by time.
type landed struct {
	feet []footContact
	fall float64 // speed of the hips just before, body heights a second
}

func (l landed) first() footContact { return l.feet[0] }

// landings finds every landing of the track in order, on whichever foot: what was asked of the
// athlete does not decide what they did.
func (m *motion) landings(body float64) []landed { return m.withoutStrides(m.footfalls(body), body) }

// footfalls finds every time that the athlete falls onto their feet, the steps of a run too.
func (m *motion) footfalls(body float64) []landed {
	var all []footContact
	for _, s := range []Side{Left, Right} {
		all = append(all, m.footContacts(s, body)...)
	}
	slices.SortFunc(all, func(a, b footContact) int {
		if a.timeS < b.timeS {
			return -1
		}
		return 1
	})
	hip := m.middle(m.light, Hip)
	if hip.y == nil {
		return nil
	}
	var out []landed
	for _, group := range together(all, body) {
		from, to := m.span(group[0].timeS-0.1, group[0].timeS)
		fall := math.Inf(-1)
		for i := from; i <= to; i++ {
			if v := m.travel(hip.y, m.time(i)-fallOverS, m.time(i)); v > fall {
				fall = v
			}
		}
		if fall/body > hipFall && !m.stepped(group[0], body) {
			out = append(out, landed{group, fall / body})
		}
	}
	return out
}

// stepped reports whether the other foot stood on the same floor when a foot touched: that is a
// step, not a landing.
func (m *motion) stepped(t footContact, body float64) bool {
	other, ok := m.light[On(t.side.Other(), t.part)]
	if !ok {
		return false
	}
	from, to := m.span(t.timeS-0.06, t.timeS-0.01)
	return from <= to && quietOver(derivative(other.y, m.fs), from, to+1, restSpeed*body) && math.Abs(median(other.y[from:to+1])-t.floor) < sameFloor*body
}

// sameFloor is how far apart two feet on one floor may be in the picture, of the body height; a
// box is higher.
const sameFloor = 0.05

// together groups contacts, in order of time, into the landings they belong to. A foot
// that paused in the air, above the others of its group, starts no landing.
func together(all []footContact, body float64) [][]footContact {
	var out [][]footContact
	for len(all) > 0 {
		n := 1
		for n < len(all) && all[n].timeS-all[0].timeS < contactGap {
			n++
		}
		group := onTheFloor(all[:n], body)
		if group[0] != all[0] {
			all = all[1:]
			continue
		}
		out, all = append(out, group), all[n:]
	}
	return out
}

// onTheFloor drops feet that came to rest in the air, such as the free leg of a
// one-foot landing: more than liftedShare above the lowest foot.
func onTheFloor(group []footContact, body float64) []footContact {
	low := math.Inf(-1)
	for _, t := range group {
		low = math.Max(low, t.floor)
	}
	var out []footContact
	for _, t := range group {
		if low-t.floor < liftedShare*body {
			out = append(out, t)
		}
	}
	return out
}

// choose picks the landing that the task is about: the first of a drop jump or
// of repeated jumps, else the one the hips fall into fastest.
func choose(all []landed, task Task) landed {
	if task == DropJump || task == RepeatedJumps {
		return all[0]
	}
	best := all[0]
	for _, l := range all[1:] {
		if l.fall > best.fall {
			best = l
		}
	}
	return best
}

// whyNoLanding looks for the plainest reason that there is none.
func (m *motion) whyNoLanding(body float64) error {
	hip := m.middle(m.light, Hip)
	if !m.has(On(Left, Toe)) && !m.has(On(Right, Toe)) && !m.has(On(Left, Ankle)) && !m.has(On(Right, Ankle)) {
		return noLanding(NoLandingNoFoot)
	}
	if k := m.slowLanding(body); k > 1 {
		n := slowMotion(k, m.fs)
		return &NoLandingError{refused(NoLandingSlowMotion, n.Hint, n.Args...)}
	}
	if len(m.footfalls(body)) > 0 {
		return noLanding(NoLandingRunsOn)
	}
	speed := derivative(hip.y, m.fs)
	edge := int(0.15 * m.fs)
	if quantile(speed[:edge], 0.9) > hipFall*body || quantile(speed[:edge], 0.1) < -0.06*body {
		return noLanding(NoLandingStartsLate)
	}
	if v := quantile(speed[m.n-edge:], 0.9); v > hipFall*body {
		return noLanding(NoLandingEndsInAir)
	}
	if quantile(speed, 0.99) < hipFall*body {
		return &NoLandingError{refused(NoLandingNoFall, HintRightClip, math.Max(quantile(speed, 0.99)/body, 0), hipFall)}
	}
	return noLanding(NoLandingNoRest)
}

// dropStart is when the hips start the fall that ends at contact: the last time
// before it that their speed is under 0.06 body heights a second (0.1 m/s).
func (m *motion) dropStart(contact, body float64) float64 {
	hip := m.middle(m.pos, Hip)
	speed := derivative(hip.y, m.fs)
	for i := m.near(contact); i > 0; i-- {
		if speed[i] < 0.06*body {
			return m.time(i)
		}
	}
	return m.time(0)
}

// lowest is the time and height (px) of the lowest hips in [from, to], to a
// fraction of a frame by a parabola through the three lowest samples.
func (m *motion) lowest(hip path, from, to float64) (t, y float64) {
	a, b := m.span(from, to)
	best := -1
	for i := a; i <= b; i++ {
		if !math.IsNaN(hip.y[i]) && (best < 0 || hip.y[i] > hip.y[best]) {
			best = i
		}
	}
	if best < 0 {
		return math.NaN(), math.NaN()
	}
	t, y = m.time(best), hip.y[best]
	if best > a && best < b {
		p, c, n := hip.y[best-1], hip.y[best], hip.y[best+1]
		if bend := p - 2*c + n; bend < 0 {
			d := (p - n) / (2 * bend)
			t, y = t+d/m.fs, c-(p-n)*d/4
		}
	}
	return t, y
}
