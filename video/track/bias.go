package track

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/flow"
	"steadfall/video/pose"
)

// biasState is what is known of one landmark on one frame: its place and the net's offset,
// each axis by itself but with one covariance for both.
type biasState struct {
	place, offset r2.Vec
	pp, po, oo    float64 // variances and covariance
	kept          float64 // share of the offset of the frame before that is left on this one
}

// smoothBias returns the path that best fits the net's points, the points placed by hand and
// the steps of the flow between them, with the standard deviation of each: a Kalman
// filter of place and offset and the smoother of Rauch, Tung and Striebel (1965, AIAA J
// 3:1445) after it. Frames before the first and after the last point are not given
// (infinite sd). lostVar is the variance of a step that failed.
func smoothBias(frames int, steps *flow.Course, net map[int]r2.Vec, hand map[int]fix, e pose.Error, lostVar float64) ([]r2.Vec, []float64) {
	pos, sd := make([]r2.Vec, frames), make([]float64, frames)
	first, last := frames, -1
	for i := range frames {
		sd[i] = math.Inf(1)
		_, byNet := net[i]
		_, byHand := hand[i]
		if byNet || byHand {
			first, last = min(first, i), i
		}
	}
	if last < 0 {
		return pos, sd
	}
	now := make([]biasState, frames)
	for i := first; i <= last; i++ {
		var b biasState
		if i == first {
			b = biasState{offset: e.Offset, pp: 1e9, oo: e.OffsetSD * e.OffsetSD}
			if z, ok := net[i]; ok {
				b.place = r2.Sub(z, e.Offset)
			} else {
				b.place = hand[i].at
			}
		} else {
			b = now[i-1].after(steps.At(i-1), e, lostVar)
		}
		if z, ok := net[i]; ok {
			b = b.seen(z, 1, e.Fresh)
		}
		if f, ok := hand[i]; ok {
			b = b.seen(f.at, 0, f.sd)
		}
		now[i] = b
	}
	for i := last - 1; i >= first; i-- {
		ahead := now[i].after(steps.At(i), e, lostVar)
		now[i] = now[i].smoothed(ahead, now[i+1])
	}
	for i := first; i <= last; i++ {
		pos[i], sd[i] = now[i].place, math.Sqrt(now[i].pp)
	}
	return pos, sd
}

// after carries a state over one step. The offset goes back towards what is expected of it
// as much as it strays, so that in a long clip it is known no worse than in a short one (an
// Ornstein–Uhlenbeck process: Uhlenbeck and Ornstein 1930, Phys. Rev. 36:823).
func (b biasState) after(s flow.Step, e pose.Error, lostVar float64) biasState {
	d, q := s.Way(lostVar)
	b.place = r2.Add(b.place, d)
	b.pp += q
	gains := e.Drift + e.Slip*r2.Norm(d)
	b.kept = math.Exp(-gains / (2 * e.Most()))
	b.offset = r2.Add(e.Offset, r2.Scale(b.kept, r2.Sub(b.offset, e.Offset)))
	b.po *= b.kept
	b.oo = e.Most() + (b.oo-e.Most())*b.kept*b.kept
	return b
}

// doubtful is the size of a surprise, in standard deviations, from which on a
// measurement is trusted less: as if its own error were as large as it seems.
const doubtful = 3

// seen takes a measurement of the place plus share times the offset.
func (b biasState) seen(z r2.Vec, share, sd float64) biasState {
	miss := r2.Sub(r2.Sub(z, b.place), r2.Scale(share, b.offset))
	hp, ho := b.pp+share*b.po, b.po+share*b.oo // covariance of the state with the measurement
	s := hp + share*ho + sd*sd
	if m := r2.Dot(miss, miss) / 2; m > doubtful*doubtful*s {
		s = m / (doubtful * doubtful)
	}
	kp, ko := hp/s, ho/s
	b.place, b.offset = r2.Add(b.place, r2.Scale(kp, miss)), r2.Add(b.offset, r2.Scale(ko, miss))
	b.pp -= kp * hp
	b.po -= kp * ho
	b.oo -= ko * ho
	return b
}

// smoothed corrects a filtered state by the smoothed one of the next frame, which had
// been predicted as ahead.
func (b biasState) smoothed(ahead, next biasState) biasState {
	det := ahead.pp*ahead.oo - ahead.po*ahead.po
	if !(det > 0) {
		return b
	}
	// Gain: covariance of this frame with the next times the inverse of the predicted one.
	po, oo := b.po*ahead.kept, b.oo*ahead.kept
	gpp := (b.pp*ahead.oo - po*ahead.po) / det
	gpo := (po*ahead.pp - b.pp*ahead.po) / det
	gop := (b.po*ahead.oo - oo*ahead.po) / det
	goo := (oo*ahead.pp - b.po*ahead.po) / det
	dp, do := r2.Sub(next.place, ahead.place), r2.Sub(next.offset, ahead.offset)
	b.place = r2.Add(r2.Add(b.place, r2.Scale(gpp, dp)), r2.Scale(gpo, do))
	b.offset = r2.Add(r2.Add(b.offset, r2.Scale(gop, dp)), r2.Scale(goo, do))
	vpp, vpo, voo := next.pp-ahead.pp, next.po-ahead.po, next.oo-ahead.oo
	// The correction of the covariance: gain · v · gainᵀ.
	app, apo := gpp*vpp+gpo*vpo, gpp*vpo+gpo*voo
	aop, aoo := gop*vpp+goo*vpo, gop*vpo+goo*voo
	b.pp += app*gpp + apo*gpo
	b.po += app*gop + apo*goo
	b.oo += aop*gop + aoo*goo
	return b
}
