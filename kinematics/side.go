package kinematics

import "math"

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
	level := h.when(s.position(s.when.from()))
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
	p := s.position(s.when.lowest)
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
	if !s.onTwoFeet(side) || !s.found || !s.opt.Task.traits().fromBox {
		return 0
	}
	parted := func(at float64) (share, sd float64) {
		var shares, sds []float64
		for _, part := range []Part{Toe, Heel, Ankle} {
			near, far := s.pos[On(side, part)], s.pos[On(side.Other(), part)]
			if near.y == nil || far.y == nil {
				continue
			}
			p := s.position(at)
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

// sideMeasures are of the near leg as the side sees it. The far leg is hidden behind it and is
// not measured.
var sideMeasures = []definition{
	{About: About{
		Name: "knee_flexion_contact", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "knee bend at contact",
		Definition: defKnee + ", at contact, told by a line through the 60 ms before",
		Sign:       signFlexion, Source: sourceJoints,
	}, leg: jointContact(kneeJoint)},
	{About: About{
		Name: "knee_flexion_peak", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "knee bend, most",
		Definition: defKnee + ", the largest from contact to still",
		Sign:       signFlexion, Source: sourceJoints,
	}, leg: jointPeak(kneeJoint)},
	{About: About{
		Name: "knee_flexion_excursion", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "knee bend gained after contact",
		Definition: defKnee + ", the largest from contact to still less that at contact",
		Sign:       signFlexion, Source: sourceJoints,
	}, leg: jointExcursion(kneeJoint)},
	{About: About{
		Name: "hip_flexion_contact", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "hip bend at contact",
		Definition: defHip + ", at contact, told by a line through the 60 ms before",
		Sign:       signFlexion, Source: sourceJoints,
	}, leg: jointContact(hipJoint)},
	{About: About{
		Name: "hip_flexion_peak", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "hip bend, most",
		Definition: defHip + ", the largest from contact to still",
		Sign:       signFlexion, Source: sourceJoints,
	}, leg: jointPeak(hipJoint)},
	{About: About{
		Name: "hip_flexion_excursion", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "hip bend gained after contact",
		Definition: defHip + ", the largest from contact to still less that at contact",
		Sign:       signFlexion, Source: sourceJoints,
	}, leg: jointExcursion(hipJoint)},
	{About: About{
		Name: "ankle_dorsiflexion_contact", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "ankle bend at contact (− is toes pointed)",
		Definition: defAnkle + ", at contact, told by a line through the 60 ms before",
		Sign:       "positive is the knee towards the toes, negative is toes pointed", Source: sourceJoints,
	}, leg: jointContact(ankleJoint)},
	{About: About{
		Name: "ankle_dorsiflexion_peak", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "ankle bend, most",
		Definition: defAnkle + ", the largest from contact to still",
		Sign:       "positive is the knee towards the toes, negative is toes pointed", Source: sourceJoints,
	}, leg: jointPeak(ankleJoint)},
	{About: About{
		Name: "ankle_dorsiflexion_excursion", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "ankle bend gained after contact",
		Definition: defAnkle + ", the largest from contact to still less that at contact",
		Sign:       "positive is the knee towards the toes, negative is toes pointed", Source: sourceJoints,
	}, leg: jointExcursion(ankleJoint)},
	{About: About{
		Name: "trunk_flexion_contact", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "trunk forward of upright at contact",
		Definition: defTrunk + ", at contact, told by a line through the 60 ms before",
		Sign:       "positive is forward", Source: sourceJoints,
	}, leg: jointContact(trunkJoint)},
	{About: About{
		Name: "trunk_flexion_peak", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "trunk forward of upright, most",
		Definition: defTrunk + ", the largest from contact to still",
		Sign:       "positive is forward", Source: sourceJoints,
	}, leg: jointPeak(trunkJoint)},
	{About: About{
		Name: "trunk_flexion_excursion", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "trunk forward gained after contact",
		Definition: defTrunk + ", the largest from contact to still less that at contact",
		Sign:       "positive is forward", Source: sourceJoints,
	}, leg: jointExcursion(trunkJoint)},
	{About: About{
		Name: "toe_first", Unit: unitPlain, View: Sideways, Sides: NearLeg, Words: "toe down before the heel (1 yes, 0 no)", YesNo: true,
		Definition: "whether the toe comes down before the heel",
		Source:     common,
	}, leg: toeFirst},
	{About: About{
		Name: "toe_lead", Unit: unitMS, View: Sideways, Sides: NearLeg, Words: "toe down before (+) the heel",
		Definition: "the heel's contact less the toe's",
		Sign:       "positive is the toe first", Source: common,
	}, leg: toeLead},
	{About: About{
		Name: "foot_set_shank", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "ankle bend in the 0.1 s before contact",
		Definition: "the mean ankle dorsiflexion over the 0.1 s before contact",
		Sign:       "positive is the foot lifted", Source: common,
	}, leg: footSetShank},
	{About: About{
		Name: "foot_set_floor", Unit: unitDeg, View: Sideways, Sides: NearLeg, Words: "toes above (+) the heel in the 0.1 s before contact",
		Definition: "the mean of heel→toe against the level over the 0.1 s before contact, less that while standing at the deepest point",
		Sign:       "positive is the toes above the heel", Source: common,
	}, leg: footSetFloor},
}

const (
	defKnee      = "180° less the angle hip–knee–ankle"
	defHip       = "180° less the angle shoulder–hip–knee"
	defAnkle     = "90° less the angle between ankle→knee and heel→toe"
	defTrunk     = "hip→shoulder against the vertical"
	signFlexion  = "positive is bent; 0 is straight"
	sourceJoints = "included angles of the segments: Winter 2009, ch. 3"
)

// A joint is an angle of the near side that is told at contact, at its most, and between the two.
type joint struct {
	name  string
	angle func(t *takings, near Side, p map[Landmark]path) curve // degrees over time
	why   Code                                                   // it may be missing
}

var (
	kneeJoint  = joint{"knee", (*takings).kneeAngle, WhyNearKneeUnseen}
	hipJoint   = joint{"hip", (*takings).hipAngle, WhyNearHipUnseen}
	ankleJoint = joint{"ankle", (*takings).ankleAngle, WhyNearAnkleUnseen}
	trunkJoint = joint{"trunk", (*takings).trunkAngle, WhyNearTrunkUnseen}
)

// of is the joint's filtered angle over time.
func (j joint) of(t *takings, near Side) curve {
	return once(t, j.name, near, func() curve { return j.angle(t, near, t.pos) })
}

// atContact is the joint's unfiltered angle at contact, and its standard deviation.
func (j joint) atContact(t *takings, near Side) (v, sd float64) {
	raw := once(t, j.name+" unfiltered", near, func() curve { return j.angle(t, near, t.raw) })
	return t.arriving(raw, t.when.from())
}

// peak is its largest angle from contact to still, and when.
func (j joint) peak(t *takings, near Side) (v, at float64) {
	return t.most(j.of(t, near), t.when.from(), t.when.settled(), t.nearLeg(near))
}

func jointContact(j joint) func(*takings, Side) value {
	return func(t *takings, near Side) value {
		v, own := j.atContact(t, near)
		return value{v: v, t: t.when.from(), why: j.why, own: own}
	}
}

func jointPeak(j joint) func(*takings, Side) value {
	return func(t *takings, near Side) value {
		v, at := j.peak(t, near)
		return value{v: v, t: at, why: j.why}
	}
}

func jointExcursion(j joint) func(*takings, Side) value {
	return func(t *takings, near Side) value {
		v, at := j.peak(t, near)
		contact, own := j.atContact(t, near)
		return value{v: v - contact, t: at, why: j.why, own: own}
	}
}

// nearLeg is how well the near leg is known; nil where it is not in the track.
func (t *takings) nearLeg(near Side) *known {
	if !t.hasLeg(near) {
		return nil
	}
	return t.sureness("knee", near, t.kneeSD(near))
}

func (t *takings) kneeAngle(near Side, p map[Landmark]path) curve {
	if !t.hasLeg(near) {
		return t.unseen()
	}
	return t.kneeFlexion(near, p)
}

func (t *takings) hipAngle(near Side, p map[Landmark]path) curve {
	sh, hip, knee := On(near, Shoulder), On(near, Hip), On(near, Knee)
	if !t.has(sh, hip, knee) {
		return t.unseen()
	}
	return t.newCurve(func(i int) float64 { return 180 - included(p[sh].at(i), p[hip].at(i), p[knee].at(i)) })
}

func (t *takings) ankleAngle(near Side, p map[Landmark]path) curve {
	knee, ankle, heel, toe := On(near, Knee), On(near, Ankle), On(near, Heel), On(near, Toe)
	if !t.has(knee, ankle, heel, toe) {
		return t.unseen()
	}
	return t.newCurve(func(i int) float64 {
		return dorsiflexion(p[knee].at(i), p[ankle].at(i), p[heel].at(i), p[toe].at(i))
	})
}

func (t *takings) trunkAngle(near Side, p map[Landmark]path) curve {
	sh, hip := On(near, Shoulder), On(near, Hip)
	if !t.has(sh, hip) {
		return t.unseen()
	}
	return t.newCurve(func(i int) float64 { return t.roll + t.forward()*lean(p[hip].at(i), p[sh].at(i)) })
}

func toeFirst(t *takings, near Side) value {
	out := toeLead(t, near)
	switch {
	case out.v > 0:
		out.v = 1
	case out.v <= 0:
		out.v = 0
	}
	return out
}

func toeLead(t *takings, near Side) value {
	out := none(WhyFootfallUnseen)
	out.t = t.when.first
	toe, okT := t.when.toe[near]
	heel, okH := t.when.heel[near]
	if okT && okH {
		out.v, out.t = (heel-toe)*1000, toe
	}
	return out
}

func footSetShank(t *takings, near Side) value {
	return t.footSet(near, func(heel, toe path) float64 { return t.over(ankleJoint.of(t, near), t.when.first-0.1, t.when.first) })
}

func footSetFloor(t *takings, near Side) value {
	return t.footSet(near, func(heel, toe path) float64 {
		pitch := t.newCurve(func(i int) float64 {
			d := toe.at(i).minus(heel.at(i))
			return math.Atan2(-d.y, t.forward()*d.x) * deg
		})
		// Standing, the line from heel point to toe point is the floor's.
		return t.over(pitch, t.when.first-0.1, t.when.first) - t.over(pitch, t.when.lowest-0.05, t.when.lowest+0.05)
	})
}

// footSet is how the near foot was held before contact, told from where heel and toe were.
func (t *takings) footSet(near Side, of func(heel, toe path) float64) value {
	out := none(WhyFootSetUnseen)
	out.t = t.when.first
	heel, toe := t.light[On(near, Heel)], t.light[On(near, Toe)]
	if !math.IsNaN(t.when.first) && heel.x != nil && toe.x != nil {
		out.v = of(heel, toe)
	}
	return out
}

// dorsiflexion is 90° minus the angle between ankle→knee and heel→toe: 0 with
// the shank square on the foot, positive with the knee towards the toes.
func dorsiflexion(knee, ankle, heel, toe pt) float64 {
	u, v := knee.minus(ankle), toe.minus(heel)
	return 90 - math.Abs(math.Atan2(u.x*v.y-u.y*v.x, u.dot(v)))*deg
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
