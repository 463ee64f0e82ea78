package kinematics

import (
	"math"
	"slices"
)

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
