package kinematics

import "math"

// fppaCurve is the frontal-plane projection angle of one leg over time, from
// positions p. Camera yaw adds the lean of thigh and shank in the side plane,
// seen askew: atan(tan θt·sin ψ) + atan(tan θs·sin ψ), in opposite anatomical
// senses for the two legs (docs/sources.md, Camera yaw).
func (s *analysis) fppaCurve(side Side, p map[Landmark]path) curve {
	h, k, a := p[On(side, Hip)], p[On(side, Knee)], p[On(side, Ankle)]
	square := s.newCurve(func(i int) float64 { return fppa(side, h.at(i), k.at(i), a.at(i)) })
	if s.tilt == 0 {
		return square
	}
	thigh, shank := s.sideTan(side, Hip, Knee, s.thigh[side]), s.sideTan(side, Knee, Ankle, s.shank[side])
	return s.newCurve(func(i int) float64 { return square[i] + medial(side)*askew(thigh(i), shank(i), s.tilt)*deg })
}

// askew is what a camera turned by yaw adds to a projection angle, radians, when thigh
// and shank lean in the side plane by angles of those tangents.
func askew(tanThigh, tanShank, yaw float64) float64 {
	s := math.Sin(yaw)
	return math.Atan(tanThigh*s) + math.Atan(tanShank*s)
}

// sideTan gives the tangent of a segment's lean in the side plane at each sample, told by
// how much shorter it appears than while standing. It is held to 0–60°.
func (s *analysis) sideTan(side Side, upper, lower Part, standing float64) func(i int) float64 {
	full := standing * s.grow
	if !(full > 0) {
		return func(int) float64 { return math.Tan(30 / deg) }
	}
	u, l := s.pos[On(side, upper)], s.pos[On(side, lower)]
	return func(i int) float64 {
		c := math.Min(math.Max(u.at(i).to(l.at(i))/full, 0.5), 1)
		return math.Sqrt(1/(c*c) - 1)
	}
}

// frontMeasures relate hip, knee, ankle and foot of a leg as the front sees them.
var frontMeasures = []definition{
	{About: About{
		Name: "fppa_contact", Unit: unitDeg, View: Front, Sides: EachLegAndMean, Words: "knee in (+) or out (−) at contact, front view",
		Definition: "frontal-plane projection angle, between hip→knee and knee→ankle in the picture, at that leg's contact, told by a line through the 60 ms before",
		Sign:       signMedial, Source: sourceFPPA,
	}, leg: fppaContact, body: meanOfLegs("fppa_contact")},
	{About: About{
		Name: "fppa_peak", Unit: unitDeg, View: Front, Sides: EachLegAndMean, Words: "knee furthest in, contact to still, front view",
		Definition: "the largest frontal-plane projection angle from contact to still, where the leg is known best",
		Sign:       signMedial, Source: sourceFPPA,
	}, leg: fppaPeak, body: meanOfLegs("fppa_peak")},
	{About: About{
		Name: "fppa_lowest", Unit: unitDeg, View: Front, Sides: EachLegAndMean, Words: "knee in (+) or out (−) at the deepest point",
		Definition: "the frontal-plane projection angle when the hips are lowest",
		Sign:       signMedial, Source: sourceFPPA,
	}, leg: fppaLowest, body: meanOfLegs("fppa_lowest")},
	{About: About{
		Name: "fppa_hold", Unit: unitDeg, View: Front, Sides: EachLegAndMean, Words: "knee in (+) or out (−), mean over the hold",
		Definition: "the mean frontal-plane projection angle from still to the end of the hold",
		Sign:       signMedial, Source: sourceFPPA,
	}, leg: fppaHold, body: meanOfLegs("fppa_hold")},
	{About: About{
		Name: "knee_over_toe", Unit: unitCM, View: Front, Sides: EachLeg, Words: "knee inside the tip of the toe, furthest",
		Definition: "the largest way across the picture from toe to knee, from contact to still",
		Sign:       signMedial, Source: common,
	}, asks: (*analysis).hasLeg, leg: kneeOverToe},
	{About: About{
		Name: "knee_over_midfoot", Unit: unitCM, View: Front, Sides: EachLeg, Words: "knee inside the middle of the foot at contact",
		Definition: "the way across the picture from midway between ankle and toe to the knee, at that leg's contact",
		Sign:       signMedial, Source: common,
	}, asks: (*analysis).hasLeg, leg: kneeOverMidfoot},
	{About: About{
		Name: "foot_turn", Unit: unitDeg, View: Front, Sides: EachLeg, Words: "foot turned out (+) or in (−)",
		Definition: "asin of heel→toe across the picture over the foot's length, 0.152 of stature, over 0.2 s at the deepest point",
		Sign:       "positive is turned out", Source: "foot length: Drillis and Contini 1966",
	}, asks: (*analysis).hasLeg, leg: footTurn},
}

const (
	signMedial = "positive is the knee on the inner (medial) side, for either leg"
	sourceFPPA = "Munro, Herrington and Carolan 2012, J Sport Rehabil 21:7"
)

// hasLeg reports whether hip, knee and ankle of a leg are in the track.
func (s *analysis) hasLeg(side Side) bool {
	return s.has(On(side, Hip), On(side, Knee), On(side, Ankle))
}

// medial is +1 where medial is to the right of the picture, as for the right leg, else −1.
func medial(side Side) float64 {
	if side == Left {
		return -1
	}
	return 1
}

// fppa is the leg's projection angle over time.
func (t *takings) fppa(side Side) curve {
	return once(t, "fppa", side, func() curve { return t.fppaCurve(side, t.pos) })
}

func fppaContact(t *takings, side Side) value {
	if !t.hasLeg(side) {
		return none(WhyLegAbsent)
	}
	out := none(WhyContactUnseen)
	at, ok := t.when.contact[side]
	if ok {
		out.t = at
		out.v, out.own = t.arriving(t.fppaCurve(side, t.raw), at)
	}
	return out
}

func fppaPeak(t *takings, side Side) value {
	if !t.hasLeg(side) {
		return none(WhyLegAbsent)
	}
	w := t.when
	v, at := t.most(t.fppa(side), w.from(), w.settled(), t.sureness("knee", side, t.kneeSD(side)))
	return value{v: v, t: at, why: WhyLegUnseen}
}

func fppaLowest(t *takings, side Side) value {
	if !t.hasLeg(side) {
		return none(WhyLegAbsent)
	}
	return value{v: t.at(t.fppa(side), t.when.lowest), t: t.when.lowest, why: WhyLegUnseenLowest}
}

func fppaHold(t *takings, side Side) value {
	if !t.hasLeg(side) {
		return none(WhyLegAbsent)
	}
	return value{v: t.over(t.fppa(side), t.when.still, t.when.holdEnd), t: t.when.still, why: WhyNoHold}
}

// meanOfLegs is the mean of both knees, which is nearly free of camera yaw.
func meanOfLegs(name string) func(*takings) value {
	return func(t *takings) value {
		l, r := t.values[key{name, Left}], t.values[key{name, Right}]
		return value{v: (l.v + r.v) / 2, t: t.when.lowest, why: WhyKneeUnseen}
	}
}

func kneeOverToe(t *takings, side Side) value {
	knee, toe := t.pos[On(side, Knee)], t.pos[On(side, Toe)]
	if toe.x == nil {
		return none(WhyToeUnseen)
	}
	in, askew, w := medial(side), t.kneeAskew(side, toeAhead), t.when
	c := t.newCurve(func(i int) float64 { return in*(knee.x[i]-toe.x[i]) + askew(i) })
	v, at := t.most(c, w.from(), w.settled(), t.sureness("knee and toe", side, func(i int) float64 {
		return math.Hypot(t.sd[On(side, Knee)][i], t.sd[On(side, Toe)][i])
	}))
	return t.length(value{v: t.cm(v), t: at, why: WhyToeUnseen})
}

func kneeOverMidfoot(t *takings, side Side) value {
	out := none(WhyFootUnseen)
	out.t = t.when.contact[side]
	if t.pos[On(side, Toe)].x == nil {
		return out
	}
	if at, ok := t.when.contact[side]; ok {
		knee, ankle, toe := t.light[On(side, Knee)], t.light[On(side, Ankle)], t.light[On(side, Toe)]
		p := t.position(at)
		out.v = t.cm(medial(side)*(knee.when(p).x-(ankle.when(p).x+toe.when(p).x)/2) + t.at(t.newCurve(t.kneeAskew(side, toeAhead/2)), at))
	}
	return t.length(out)
}

func footTurn(t *takings, side Side) value {
	out := none(WhyHeelToeUnseen)
	out.t = t.when.lowest
	heel, toe := t.pos[On(side, Heel)], t.pos[On(side, Toe)]
	if heel.x == nil || toe.x == nil {
		return out
	}
	// The foot's length along the floor is not seen from the front; its turn
	// is told by its sideways part against .152 of stature.
	across := t.newCurve(func(i int) float64 { return -medial(side) * (toe.x[i] - heel.x[i]) })
	v := t.over(across, t.when.lowest-0.1, t.when.lowest+0.1) / (footLength * t.body)
	out.v = math.Asin(math.Min(math.Max(v, -1), 1)) * deg
	out.own = 5 // shoes and feet differ in length; common practice, no source
	return out
}

// kneeAskew is by how much the camera's yaw and roll move the knee inwards in the picture
// against a point of the foot that is that far ahead of the ankle, px: yaw by how far the
// knee is ahead of it, roll by how far it is above the toe.
func (s *analysis) kneeAskew(side Side, aheadShare float64) func(i int) float64 {
	if s.tilt == 0 && s.roll == 0 {
		return func(int) float64 { return 0 }
	}
	in := medial(side)
	lean := s.sideTan(side, Knee, Ankle, s.shank[side])
	long, ahead := s.shank[side]*s.grow, aheadShare*s.body
	if !(long > 0) { // it was not seen standing
		long = shankLength * s.body
	}
	knee, toe := s.pos[On(side, Knee)], s.pos[On(side, Toe)]
	yaw, roll := math.Sin(s.tilt), math.Sin(s.roll/deg)
	return func(i int) float64 {
		t := lean(i)
		return in * (yaw*(long*t/math.Sqrt(1+t*t)-ahead) + roll*(toe.y[i]-knee.y[i]))
	}
}

// toeAhead is how far the tip of the toe is ahead of the ankle, as a share of the body
// height: the foot's .152 (Drillis and Contini 1966) less the heel.
const toeAhead = 0.112

// Why measures of this file may be missing.
const (
	WhyKneeUnseen      Code = "knee_unseen"
	WhyLegAbsent       Code = "leg_absent"
	WhyContactUnseen   Code = "contact_unseen"
	WhyLegUnseen       Code = "leg_unseen"
	WhyLegUnseenLowest Code = "leg_unseen_lowest"
	WhyNoHold          Code = "no_hold"
	WhyToeUnseen       Code = "toe_unseen"
	WhyFootUnseen      Code = "foot_unseen"
	WhyHeelToeUnseen   Code = "heel_toe_unseen"
)
