package track

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/flow"
	"steadfall/video/pose"
)

// smoother finds the path that best fits what is known of a landmark: a Kalman filter of its position and
// the net's offset there, and the smoother of Rauch, Tung and Striebel (1965, AIAA J 3:1445) after it.
// Points of the net tell position and offset together, placed ones the position, and steps of the flow how
// both go on. x and y share their weights.
type smoother struct {
	net     pose.Error // how the net errs, px
	lostVar float64    // variance of a step that failed
	alone   bool       // no net was asked: all there is besides the flow is what a person placed
}

// path is the best position on every frame and the standard deviation of each axis, which is infinite where
// none is given: there are frames-1 steps, and net and hand are by frame. Where a net was asked, frames
// before the first and after the last point are not given, and a placed point that lies far off
// is doubted. Where the flow is alone it carries the first and the last placement on, and it is the steps that are
// doubted, in place, where they do not lead from one placement to the next.
func (s smoother) path(frames int, steps *flow.Course, net map[int]r2.Vec, hand map[int]fix) ([]r2.Vec, []float64) {
	pos, sd := make([]r2.Vec, frames), make([]float64, frames)
	for i := range sd {
		sd[i] = math.Inf(1)
	}
	first, last := span(frames, net, hand)
	if last < 0 {
		return pos, sd
	}
	from, to := first, last
	if s.alone {
		doubtSteps(steps, hand)
		from, to = 0, frames-1
	}
	now := make([]state, frames)
	for i := first; i <= to; i++ {
		if i == first {
			now[i] = s.begin(i, net, hand)
		} else {
			now[i] = now[i-1].after(steps.At(i-1), s)
		}
		if z, ok := net[i]; ok {
			now[i] = now[i].measured(z, 1, s.net.Fresh, true)
		}
		if f, ok := hand[i]; ok {
			now[i] = now[i].measured(f.at, 0, f.sd, !s.alone)
		}
	}
	for i := to - 1; i >= first; i-- {
		now[i] = now[i].smoothed(now[i].after(steps.At(i), s), now[i+1])
	}
	for i := first - 1; i >= from; i-- {
		d, v := steps.At(i).Way(s.lostVar)
		now[i] = state{at: r2.Sub(now[i+1].at, d), pp: now[i+1].pp + v}
	}
	for i := from; i <= to; i++ {
		pos[i], sd[i] = now[i].at, math.Sqrt(now[i].pp)
	}
	return pos, sd
}

// begin is the state before the first measurement, on frame i: the landmark may be anywhere.
func (s smoother) begin(i int, net map[int]r2.Vec, hand map[int]fix) state {
	b := state{at: hand[i].at, offset: s.net.Offset, pp: 1e9, oo: s.net.OffsetSD * s.net.OffsetSD}
	if z, ok := net[i]; ok {
		b.at = r2.Sub(z, s.net.Offset)
	}
	return b
}

// span is the first and the last frame on which a landmark was seen by the net or placed by hand; the
// last is -1 where it never was.
func span(frames int, net map[int]r2.Vec, hand map[int]fix) (first, last int) {
	first, last = frames, -1
	for i := range frames {
		_, byNet := net[i]
		_, byHand := hand[i]
		if byNet || byHand {
			first, last = min(first, i), i
		}
	}
	return first, last
}

// state is what is known of one landmark on one frame: its position and the net's offset,
// each axis by itself but with one covariance for both.
type state struct {
	at, offset r2.Vec
	pp, po, oo float64 // variances of position and offset, and their covariance
	kept       float64 // share of the offset of the frame before that is left on this one
}

// after carries a state over one step. The offset goes back towards what is expected of it
// as much as it strays, so that in a long clip it is known no worse than in a short one (an
// Ornstein–Uhlenbeck process: Uhlenbeck and Ornstein 1930, Phys. Rev. 36:823).
func (b state) after(step flow.Step, s smoother) state {
	e := s.net
	d, v := step.Way(s.lostVar)
	b.at = r2.Add(b.at, d)
	b.pp += v
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

// measured updates the state by a measurement of the position plus share times the offset, which may be
// one that can be doubted.
func (b state) measured(z r2.Vec, share, sd float64, canDoubt bool) state {
	miss := r2.Sub(r2.Sub(z, b.at), r2.Scale(share, b.offset))
	hp, ho := b.pp+share*b.po, b.po+share*b.oo // covariance of the state with the measurement
	s := hp + share*ho + sd*sd
	if m := r2.Dot(miss, miss) / 2; canDoubt && m > doubtful*doubtful*s {
		s = m / (doubtful * doubtful)
	}
	kp, ko := hp/s, ho/s
	b.at, b.offset = r2.Add(b.at, r2.Scale(kp, miss)), r2.Add(b.offset, r2.Scale(ko, miss))
	b.pp -= kp * hp
	b.po -= kp * ho
	b.oo -= ko * ho
	return b
}

// smoothed corrects a filtered state by the smoothed one of the next frame, which had
// been predicted as ahead.
func (b state) smoothed(ahead, next state) state {
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
	dp, do := r2.Sub(next.at, ahead.at), r2.Sub(next.offset, ahead.offset)
	b.at = r2.Add(r2.Add(b.at, r2.Scale(gpp, dp)), r2.Scale(gpo, do))
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

// doubtSteps widens the steps between two placements when the chain does not close: its
// end misses the second one by more than the stated variances allow. The factor
// is the one that makes the miss as large as expected (method of moments).
func doubtSteps(steps *flow.Course, hand map[int]fix) {
	placed := slices.Sorted(maps.Keys(hand))
	for k := 1; k < len(placed); k++ {
		i, j := placed[k-1], placed[k]
		a, b := hand[i], hand[j]
		end, sum, whole := a.at, 0.0, true
		for n := i; n < j; n++ {
			s := steps.At(n)
			end, sum, whole = r2.Add(end, s.D), sum+s.SD*s.SD, whole && s.OK
		}
		miss := r2.Sub(b.at, end)
		factor := (r2.Dot(miss, miss)/2 - a.sd*a.sd - b.sd*b.sd) / sum
		if !whole || !(factor > 1) {
			continue
		}
		for n := i; n < j; n++ {
			s := steps.At(n)
			s.SD *= math.Sqrt(factor)
			steps.Put(n, s)
		}
	}
}
