package kinematics

import "math"

// fppaCurve is the frontal-plane projection angle of one leg over time, from
// positions p. Camera yaw adds the lean of thigh and shank in the side plane,
// seen askew: atan(tan θt·sin ψ) + atan(tan θs·sin ψ), in opposite anatomical
// senses for the two legs (docs/sources.md, Camera yaw).
func (s *analysis) fppaCurve(side Side, p map[Landmark]path) curve {
	h, k, a := p[On(side, Hip)], p[On(side, Knee)], p[On(side, Ankle)]
	sign := 1.0
	if side == Left {
		sign = -1
	}
	square := s.newCurve(func(i int) float64 { return fppa(side, h.at(i), k.at(i), a.at(i)) })
	if s.tilt == 0 {
		return square
	}
	thigh, shank := s.sideTan(side, Hip, Knee, s.thigh[side]), s.sideTan(side, Knee, Ankle, s.shank[side])
	return s.newCurve(func(i int) float64 { return square[i] + sign*askew(thigh(i), shank(i), s.tilt)*deg })
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

// trunkAskew is what the camera's yaw adds to the trunk's sideways lean, degrees, when it
// appears that long: the forward lean, told by how much shorter that is than standing and
// held to 45°, seen askew.
func (s *analysis) trunkAskew(long float64) float64 {
	if s.tilt == 0 || !(s.trunk > 0) {
		return 0
	}
	c := math.Min(math.Max(long/(s.trunk*s.grow), math.Sqrt2/2), 1)
	return math.Atan(math.Sqrt(1/(c*c)-1)*math.Sin(s.tilt)) * deg
}

func sq(v float64) float64 { return v * v }

// frontMeasures takes the measures of the front view.
func (s *analysis) frontMeasures() []value {
	var out []value
	byLeg := map[string][]float64{}
	for _, side := range s.legs() {
		for _, v := range s.legFront(side) {
			out = append(out, v)
			if v.unit == unitDeg {
				byLeg[v.name] = append(byLeg[v.name], v.v)
			}
		}
	}
	// The mean of both knees is nearly free of camera yaw.
	for _, name := range []string{"fppa_contact", "fppa_peak", "fppa_lowest", "fppa_hold"} {
		if v := byLeg[name]; len(v) == 2 {
			out = append(out, value{name: name, side: Both, v: (v[0] + v[1]) / 2, unit: unitDeg, t: s.when.lowest, why: WhyKneeUnseen})
		}
	}
	out = append(out, s.stanceMeasures()...)
	return append(out, s.trunkMeasures()...)
}

func (s *analysis) legFront(side Side) []value {
	w := s.when
	name := func(n string, v, t float64, why Code) value {
		return value{name: n, side: side, v: v, unit: unitDeg, t: t, why: why}
	}
	if !s.has(On(side, Hip), On(side, Knee), On(side, Ankle)) {
		const why = WhyLegAbsent
		nan := math.NaN()
		return []value{name("fppa_contact", nan, 0, why), name("fppa_peak", nan, 0, why), name("fppa_lowest", nan, 0, why), name("fppa_hold", nan, 0, why)}
	}
	c := s.fppaCurve(side, s.pos)
	contact, blunt := math.NaN(), 0.0
	if t, ok := w.contact[side]; ok {
		contact, blunt = s.arriving(s.fppaCurve(side, s.raw), t)
	}
	peak, peakT := s.most(c, w.from(), w.settled(), s.knownTo(w.from(), w.settled(), s.kneeSD(side)))
	out := []value{
		name("fppa_contact", contact, w.contact[side], WhyContactUnseen),
		name("fppa_peak", peak, peakT, WhyLegUnseen),
		name("fppa_lowest", s.at(c, w.lowest), w.lowest, WhyLegUnseenLowest),
		name("fppa_hold", s.over(c, w.still, w.holdEnd), w.still, WhyNoHold),
	}
	out[0].own = blunt
	return append(out, s.footFront(side)...)
}

// footFront relates knee and foot: how far the knee lies inside the toe and the
// midfoot, and how far the foot is turned out.
func (s *analysis) footFront(side Side) []value {
	in := 1.0 // medial is to the right of the picture for the right leg
	if side == Left {
		in = -1
	}
	w := s.when
	knee, toe, ankle, heel := s.pos[On(side, Knee)], s.pos[On(side, Toe)], s.pos[On(side, Ankle)], s.pos[On(side, Heel)]
	over := value{name: "knee_over_toe", side: side, unit: unitCM, v: math.NaN(), why: WhyToeUnseen}
	mid := value{name: "knee_over_midfoot", side: side, unit: unitCM, v: math.NaN(), t: w.contact[side], why: WhyFootUnseen}
	turn := value{name: "foot_turn", side: side, unit: unitDeg, v: math.NaN(), t: w.lowest, why: WhyHeelToeUnseen}
	if toe.x != nil {
		askew := s.kneeAskew(side, toeAhead)
		c := s.newCurve(func(i int) float64 { return in*(knee.x[i]-toe.x[i]) + askew(i) })
		v, t := s.most(c, w.from(), w.settled(), s.knownTo(w.from(), w.settled(), func(i int) float64 {
			return math.Hypot(s.sd[On(side, Knee)][i], s.sd[On(side, Toe)][i])
		}))
		over.v, over.t = s.cm(v), t
		if t, ok := w.contact[side]; ok {
			lk, la, lt := s.light[On(side, Knee)], s.light[On(side, Ankle)], s.light[On(side, Toe)]
			p := s.place(t)
			mid.v = s.cm(in*(lk.when(p).x-(la.when(p).x+lt.when(p).x)/2) + s.at(s.newCurve(s.kneeAskew(side, toeAhead/2)), t))
		}
		if !s.sc.Known() {
			over.why, mid.why = NoteNoScale, NoteNoScale
		}
	}
	if heel.x != nil && toe.x != nil && ankle.x != nil {
		// The foot's length along the floor is not seen from the front; its turn
		// is told by its sideways part against .152 of stature.
		across := s.newCurve(func(i int) float64 { return -in * (toe.x[i] - heel.x[i]) })
		v := s.over(across, w.lowest-0.1, w.lowest+0.1) / (footLength * s.body)
		turn.v = math.Asin(math.Min(math.Max(v, -1), 1)) * deg
		turn.own = 5 // shoes and feet differ in length; common practice, no source
	}
	return []value{over, mid, turn}
}

// kneeAskew is by how much the camera's yaw and roll move the knee inwards in the picture
// against a point of the foot that is that far ahead of the ankle, px: yaw by how far the
// knee is ahead of it, roll by how far it is above the toe.
func (s *analysis) kneeAskew(side Side, aheadShare float64) func(i int) float64 {
	if s.tilt == 0 && s.roll == 0 {
		return func(int) float64 { return 0 }
	}
	in := 1.0
	if side == Left {
		in = -1
	}
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

// stanceMeasures relate the two legs.
func (s *analysis) stanceMeasures() []value {
	w := s.when
	out := []value{
		{name: "knee_separation_ratio_contact", side: Both, unit: unitPlain, v: math.NaN(), t: w.first, why: WhyKneesUnseenContact},
		{name: "knee_separation_ratio_least", side: Both, unit: unitPlain, v: math.NaN(), why: WhyKneesUnseen},
		{name: "stance_width_ratio", side: Both, unit: unitPlain, v: math.NaN(), t: w.first, why: WhyStanceUnseen},
		{name: "contact_gap", side: Both, unit: unitMS, v: math.NaN(), t: w.first, why: WhyContactsUnseen},
	}
	if len(s.legs()) == 1 {
		for i := range out {
			out[i].why = WhyOneFoot
		}
		return out
	}
	apart := func(p map[Landmark]path, part Part) curve {
		l, r := p[On(Left, part)], p[On(Right, part)]
		if l.x == nil || r.x == nil {
			return s.newCurve(func(int) float64 { return math.NaN() })
		}
		return s.newCurve(func(i int) float64 { return l.at(i).to(r.at(i)) })
	}
	ratio := func(p map[Landmark]path, a, b Part) curve {
		x, y := apart(p, a), apart(p, b)
		return s.newCurve(func(i int) float64 { return x[i] / y[i] })
	}
	// The feet of one landing stand by the later contact.
	both := math.Max(w.contact[Left], w.contact[Right])
	out[0].v = s.at(ratio(s.light, Knee, Ankle), w.first)
	if apart := ratio(s.pos, Knee, Ankle); s.seen(apart, w.from(), w.settled()) {
		out[1].v, out[1].t = s.least(apart, w.from(), w.settled())
	}
	out[2].v = s.at(ratio(s.light, Ankle, Shoulder), both)
	if len(w.contact) == 2 {
		out[3].v = (w.contact[Left] - w.contact[Right]) * 1000
	}
	return out
}

// trunkMeasures are the sideways lean of trunk and pelvis, positive to the
// athlete's right, which is the left of an unmirrored front picture.
func (s *analysis) trunkMeasures() []value {
	w := s.when
	sh, hip := s.middle(s.pos, Shoulder), s.middle(s.pos, Hip)
	nan := func(int) float64 { return math.NaN() }
	trunk, pelvis := s.newCurve(nan), s.newCurve(nan)
	// The middle of one side alone is not that of the body.
	if s.has(On(Left, Shoulder), On(Right, Shoulder), On(Left, Hip), On(Right, Hip)) {
		trunk = s.newCurve(func(i int) float64 { return s.roll - lean(hip.at(i), sh.at(i)) + s.trunkAskew(sh.at(i).to(hip.at(i))) })
	}
	if l, r := s.pos[On(Left, Hip)], s.pos[On(Right, Hip)]; l.x != nil && r.x != nil {
		pelvis = s.newCurve(func(i int) float64 { return s.roll + math.Atan2(r.y[i]-l.y[i], l.x[i]-r.x[i])*deg })
	}
	var sure *known
	if l, r := On(Left, Hip), On(Right, Hip); s.has(l, r) {
		sure = s.knownTo(w.from(), w.settled(), func(i int) float64 {
			return math.Hypot(s.sd[l][i], s.sd[r][i]) / s.pos[l].at(i).to(s.pos[r].at(i)) * deg
		})
	}
	size := func(c curve) curve { return s.newCurve(func(i int) float64 { return math.Abs(c[i]) }) }
	end := w.settled()
	if !math.IsNaN(w.holdEnd) {
		end = w.holdEnd
	}
	leanMost, leanT := s.most(size(trunk), w.from(), end, sure)
	tiltMost, tiltT := s.most(size(pelvis), w.from(), end, sure)
	return []value{
		{name: "trunk_lean", side: Both, v: s.at(trunk, w.from()), unit: unitDeg, t: w.from(), why: WhyTrunkUnseenContact},
		{name: "trunk_lean_peak", side: Both, v: leanMost, unit: unitDeg, t: leanT, why: WhyTrunkUnseen, grows: asSize},
		{name: "pelvis_tilt_peak", side: Both, v: tiltMost, unit: unitDeg, t: tiltT, why: WhyHipsUnseen, grows: asSize},
	}
}

// Why measures of this file may be missing.
const (
	WhyKneeUnseen         Code = "knee_unseen"
	WhyLegAbsent          Code = "leg_absent"
	WhyContactUnseen      Code = "contact_unseen"
	WhyLegUnseen          Code = "leg_unseen"
	WhyLegUnseenLowest    Code = "leg_unseen_lowest"
	WhyNoHold             Code = "no_hold"
	WhyToeUnseen          Code = "toe_unseen"
	WhyFootUnseen         Code = "foot_unseen"
	WhyHeelToeUnseen      Code = "heel_toe_unseen"
	WhyKneesUnseenContact Code = "knees_unseen_contact"
	WhyKneesUnseen        Code = "knees_unseen"
	WhyStanceUnseen       Code = "stance_unseen"
	WhyContactsUnseen     Code = "contacts_unseen"
	WhyOneFoot            Code = "one_foot"
	WhyTrunkUnseenContact Code = "trunk_unseen_contact"
	WhyTrunkUnseen        Code = "trunk_unseen"
	WhyHipsUnseen         Code = "hips_unseen"
)
