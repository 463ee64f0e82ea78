package kinematics

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// forward is +1 when the athlete looks to the right of the picture.
func (s *analysis) forward() float64 {
	if s.view == SideLeft {
		return -1
	}
	return 1
}

// kneeFlexion is 180° minus the included hip–knee–ankle angle of one leg over
// time. Where the knee leaves the side plane (falls in or out), both segments
// appear shorter than while standing and the picture shows too little flexion;
// there the angle is told from the standing lengths and the hip–ankle distance,
// which stays in the plane (law of cosines).
func (s *analysis) kneeFlexion(side Side, p map[Landmark]path) curve {
	h, k, a := p[On(side, Hip)], p[On(side, Knee)], p[On(side, Ankle)]
	level := h.when(s.place(s.when.from()))
	nearer := s.footNearer(side, level.y)
	return s.newCurve(func(i int) float64 {
		seen := 180 - included(h.at(i), k.at(i), a.at(i))
		w := s.outOfPlane(side, i)
		if !(w > 0) {
			return seen
		}
		ankle := level.plus(a.at(i).minus(level).times(1 - nearer))
		return (1-w)*seen + w*flexionFromLengths(s.thigh[side], s.shank[side], h.at(i).to(ankle))
	})
}

// Landing with the feet wider than they stood brings the near foot closer to the
// camera, where it appears lower. From a box the feet go from about 20 to 30–35 cm
// apart, 1 % of the 4 to 5 m that phones are set up at (common practice, no
// source).
const (
	nearerPrior   = 0.010
	nearerPriorSD = 0.006
)

// liftedShare of the body height over the foot that landed, the other one is off the floor: of two
// on the floor, a foot's length apart in depth, the one behind looks up to 0.04 higher.
const liftedShare = 0.07

// onTwoFeet reports whether the athlete, whose near side that is, came down on both feet. The
// far foot is often hidden in the fall: it is on the floor unless one leg was named to land
// on, or it is seen held up at the deepest point.
func (s *analysis) onTwoFeet(near Side) bool {
	if s.opt.Limb != Both {
		return false
	}
	if len(s.when.contact) == 2 {
		return true
	}
	p := s.place(s.when.lowest)
	far, by := s.pos[On(near.Other(), Ankle)], s.pos[On(near, Ankle)]
	if far.y == nil {
		return true
	}
	return !(valueAt(by.y, p)-valueAt(far.y, p) > liftedShare*s.body)
}

// footNearer is by what share the near foot has come closer to the camera between
// standing and the deepest point: half of how much the two feet have parted in the
// picture, over their depth below the camera, which is taken to stand level with
// the hips. Where the far foot is not seen the prior stands.
func (s *analysis) footNearer(side Side, levelY float64) float64 {
	if !s.onTwoFeet(side) || !s.found || s.opt.Task != DropLanding && s.opt.Task != DropJump {
		return 0
	}
	parted := func(at float64) (share, sd float64) {
		var shares, sds []float64
		for _, part := range []Part{Toe, Heel, Ankle} {
			near, far := s.pos[On(side, part)], s.pos[On(side.Other(), part)]
			if near.y == nil || far.y == nil {
				continue
			}
			p := s.place(at)
			n, f := valueAt(near.y, p), valueAt(far.y, p)
			if below := (n+f)/2 - levelY; below > 0 {
				shares = append(shares, (n-f)/below/2)
				sds = append(sds, math.Hypot(valueAt(s.sd[On(side, part)], p), valueAt(s.sd[On(side.Other(), part)], p))/below/2)
			}
		}
		n := float64(len(seen(shares)))
		return mean(shares), mean(sds) / math.Sqrt(math.Max(n, 1))
	}
	was, wasSD := parted(s.stood)
	is, isSD := parted(s.when.lowest)
	v := sq(wasSD) + sq(isSD)
	if math.IsNaN(was) || math.IsNaN(is) || !(v > 0) {
		return nearerPrior
	}
	w := sq(nearerPriorSD) / (sq(nearerPriorSD) + v)
	return nearerPrior + w*(is-was-nearerPrior)
}

// flexionFromLengths is the knee flexion, degrees, of a leg whose thigh and
// shank have lengths t and k when hip and ankle are d apart.
func flexionFromLengths(t, k, d float64) float64 {
	c := (t*t + k*k - d*d) / (2 * t * k)
	return 180 - math.Acos(math.Min(math.Max(c, -1), 1))*deg
}

// outOfPlane is 0 when the leg is as long as while standing, 1 when it is
// shorter beyond doubt: thigh and shank together by more than 6 % and four
// standard deviations, with a ramp from half of that.
func (s *analysis) outOfPlane(side Side, i int) float64 {
	full := s.thigh[side] + s.shank[side]
	if !(full > 0) || !s.found {
		return 0
	}
	h, k, a := s.pos[On(side, Hip)].at(i), s.pos[On(side, Knee)].at(i), s.pos[On(side, Ankle)].at(i)
	short := full - h.to(k) - k.to(a)
	sd := math.Sqrt(sq(s.sd[On(side, Hip)][i]) + sq(s.sd[On(side, Ankle)][i]) + sq(s.sd[On(side, Knee)][i]))
	sure := math.Max(0.06*full, 2*sd)
	return math.Min(math.Max(2*short/sure-1, 0), 1)
}

// sideMeasures takes the measures of the near leg in a side view. The far leg is
// hidden behind it and is not measured.
func (s *analysis) sideMeasures() []value {
	near := s.view.Near()
	w := s.when
	var leg *known
	if s.has(On(near, Hip), On(near, Knee), On(near, Ankle)) {
		leg = s.knownTo(w.from(), w.settled(), s.kneeSD(near))
	}
	out := s.kneeMeasures(near, leg)
	none := func(int) float64 { return math.NaN() }
	sh, hip, knee, ankle := On(near, Shoulder), On(near, Hip), On(near, Knee), On(near, Ankle)
	heel, toe := On(near, Heel), On(near, Toe)
	angles := func(p map[Landmark]path) (hipFlex, dorsi, trunk curve) {
		hipFlex, dorsi, trunk = s.newCurve(none), s.newCurve(none), s.newCurve(none)
		if s.has(sh, hip) {
			trunk = s.newCurve(func(i int) float64 { return s.roll + s.forward()*lean(p[hip].at(i), p[sh].at(i)) })
			if s.has(knee) {
				hipFlex = s.newCurve(func(i int) float64 { return 180 - included(p[sh].at(i), p[hip].at(i), p[knee].at(i)) })
			}
		}
		if s.has(knee, ankle, heel, toe) {
			dorsi = s.newCurve(func(i int) float64 { return dorsiflexion(p[knee].at(i), p[ankle].at(i), p[heel].at(i), p[toe].at(i)) })
		}
		return hipFlex, dorsi, trunk
	}
	hipL, dorsiL, trunkL := angles(s.raw)
	hipC, dorsiC, trunkC := angles(s.pos)
	for _, q := range []struct {
		name      string
		raw, slow curve
		why       Code
	}{
		{"hip_flexion", hipL, hipC, WhyNearHipUnseen},
		{"ankle_dorsiflexion", dorsiL, dorsiC, WhyNearAnkleUnseen},
		{"trunk_flexion", trunkL, trunkC, WhyNearTrunkUnseen},
	} {
		out = append(out, s.threeOf(q.name, near, q.raw, q.slow, leg, q.why)...)
	}
	return append(out, s.footSide(near, dorsiC, w)...)
}

func (s *analysis) kneeMeasures(near Side, leg *known) []value {
	const why = WhyNearKneeUnseen
	c := s.newCurve(func(int) float64 { return math.NaN() })
	raw := c
	if leg != nil {
		c, raw = s.kneeFlexion(near, s.pos), s.kneeFlexion(near, s.raw)
	}
	return s.threeOf("knee_flexion", near, raw, c, leg, why)
}

// threeOf is a joint's angle at contact, its largest from contact to still, and
// how far it went between the two. leg says where the leg is known best; nil where it
// is not in the track.
func (s *analysis) threeOf(name string, side Side, raw, slow curve, leg *known, why Code) []value {
	w := s.when
	t := w.from()
	contact, blunt := s.arriving(raw, t)
	peak, peakT := s.most(slow, t, w.settled(), leg)
	mk := func(n string, v, at, own float64) value {
		return value{name: name + n, side: side, v: v, unit: unitDeg, t: at, why: why, own: own}
	}
	return []value{mk("_contact", contact, t, blunt), mk("_peak", peak, peakT, 0), mk("_excursion", peak-contact, peakT, blunt)}
}

// comingS is how much of a curve before contact tells its value there, s: until then a joint bends
// slowly, and a filter that looks on both sides of contact would round off the corner and tell too
// much bend, the more the lower the rate.
const comingS = 0.06

// arriving is an unfiltered curve's value at a time, told by a line through what was just before,
// and its standard deviation by how well the line fits.
func (s *analysis) arriving(raw curve, t float64) (v, sd float64) {
	last := int(math.Ceil(s.place(t)-0.25)) - 1 // a sample at contact may be one after it
	n := max(int(math.Round(comingS*s.fs)), 3)
	var ts, vs []float64
	for i := max(last-n+1, 0); i <= last && i < s.n; i++ {
		if !math.IsNaN(raw[i]) {
			ts, vs = append(ts, s.time(i)-t), append(vs, raw[i])
		}
	}
	if len(ts) < 3 {
		return math.NaN(), math.NaN()
	}
	a, b := stat.LinearRegression(ts, vs, nil, false)
	rss, far := 0.0, 0.0
	mid := stat.Mean(ts, nil)
	for i, at := range ts {
		rss += sq(vs[i] - a - b*at)
		far += sq(at - mid)
	}
	k := float64(len(ts))
	return a, math.Sqrt(rss / (k - 2) * (1/k + sq(mid)/far))
}

// dorsiflexion is 90° minus the angle between ankle→knee and heel→toe: 0 with
// the shank square on the foot, positive with the knee towards the toes.
func dorsiflexion(knee, ankle, heel, toe pt) float64 {
	u, v := knee.minus(ankle), toe.minus(heel)
	return 90 - math.Abs(math.Atan2(u.x*v.y-u.y*v.x, u.dot(v)))*deg
}

// footSide tells how the foot meets the ground: which end first, and how it was
// held over the last 100 ms before.
func (s *analysis) footSide(near Side, dorsi curve, w eventTimes) []value {
	toeT, okT := w.toe[near]
	heelT, okH := w.heel[near]
	lead := value{name: "toe_lead", side: near, unit: unitMS, v: math.NaN(), t: w.first, why: WhyFootfallUnseen}
	first := value{name: "toe_first", side: near, unit: unitPlain, v: math.NaN(), t: w.first, why: lead.why}
	if okT && okH {
		lead.v, lead.t = (heelT-toeT)*1000, toeT
		first.v = 0
		if heelT > toeT {
			first.v = 1
		}
		first.t = lead.t
	}
	shank := value{name: "foot_set_shank", side: near, unit: unitDeg, v: math.NaN(), t: w.first, why: WhyFootSetUnseen}
	floor := shank
	floor.name = "foot_set_floor"
	heel, toe := s.light[On(near, Heel)], s.light[On(near, Toe)]
	if !math.IsNaN(w.first) && heel.x != nil && toe.x != nil {
		shank.v = s.over(dorsi, w.first-0.1, w.first)
		pitch := s.newCurve(func(i int) float64 {
			d := toe.at(i).minus(heel.at(i))
			return math.Atan2(-d.y, s.forward()*d.x) * deg
		})
		// Standing, the line from heel point to toe point is the floor's.
		floor.v = s.over(pitch, w.first-0.1, w.first) - s.over(pitch, w.lowest-0.05, w.lowest+0.05)
	}
	return []value{first, lead, shank, floor}
}

// Why measures of this file may be missing.
const (
	WhyNearHipUnseen   Code = "near_hip_unseen"
	WhyNearAnkleUnseen Code = "near_ankle_unseen"
	WhyNearTrunkUnseen Code = "near_trunk_unseen"
	WhyNearKneeUnseen  Code = "near_knee_unseen"
	WhyFootfallUnseen  Code = "footfall_unseen"
	WhyFootSetUnseen   Code = "foot_set_unseen"
)
