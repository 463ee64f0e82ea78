package kinematics

import "math"

// trunkMeasures are the sideways lean of trunk and pelvis as the front sees them. The athlete's
// right is the left of an unmirrored front picture.
var trunkMeasures = []definition{
	{About: About{
		Name: "trunk_lean", Unit: unitDeg, View: Front, Sides: WholeBody, Words: "trunk leaning to the athlete's right (+) at contact",
		Definition: "middle of the hips to middle of the shoulders against the vertical, at contact",
		Sign:       "positive is to the athlete's right", Source: common,
	}, body: trunkLean},
	{About: About{
		Name: "trunk_lean_peak", Unit: unitDeg, View: Front, Sides: WholeBody, Words: "trunk leaning to a side, most",
		Definition: "the largest size of the trunk's lean from contact to the end of the hold",
		Source:     common,
	}, body: func(t *takings) value { return t.mostOfSize(t.trunk(), WhyTrunkUnseen) }},
	{About: About{
		Name: "pelvis_tilt_peak", Unit: unitDeg, View: Front, Sides: WholeBody, Words: "hips tilted to a side, most",
		Definition: "the largest size of the hips' line against the level, from contact to the end of the hold",
		Source:     common,
	}, body: func(t *takings) value { return t.mostOfSize(t.pelvis(), WhyHipsUnseen) }},
}

// trunk is the trunk's lean over time, degrees.
func (t *takings) trunk() curve {
	return once(t, "trunk", Both, func() curve {
		// The middle of one side alone is not that of the body.
		if !t.has(On(Left, Shoulder), On(Right, Shoulder), On(Left, Hip), On(Right, Hip)) {
			return t.unseen()
		}
		sh, hip := t.middle(t.pos, Shoulder), t.middle(t.pos, Hip)
		return t.newCurve(func(i int) float64 { return t.roll - lean(hip.at(i), sh.at(i)) + t.trunkAskew(sh.at(i).to(hip.at(i))) })
	})
}

// pelvis is the tilt of the hips' line over time, degrees.
func (t *takings) pelvis() curve {
	l, r := t.pos[On(Left, Hip)], t.pos[On(Right, Hip)]
	if l.x == nil || r.x == nil {
		return t.unseen()
	}
	return t.newCurve(func(i int) float64 { return t.roll + math.Atan2(r.y[i]-l.y[i], l.x[i]-r.x[i])*deg })
}

func trunkLean(t *takings) value {
	return value{v: t.at(t.trunk(), t.when.from()), t: t.when.from(), why: WhyTrunkUnseenContact}
}

// mostOfSize is the largest size of an angle from contact to the end of the hold, where the hips
// are known best.
func (t *takings) mostOfSize(c curve, why Code) value {
	var sure *known
	if l, r := On(Left, Hip), On(Right, Hip); t.has(l, r) {
		sure = t.sureness("hips", Both, func(i int) float64 {
			return math.Hypot(t.sd[l][i], t.sd[r][i]) / t.pos[l].at(i).to(t.pos[r].at(i)) * deg
		})
	}
	end := t.when.settled()
	if !math.IsNaN(t.when.holdEnd) {
		end = t.when.holdEnd
	}
	v, at := t.most(t.newCurve(func(i int) float64 { return math.Abs(c[i]) }), t.when.from(), end, sure)
	return value{v: v, t: at, why: why, bias: asSize}
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

// Why measures of this file may be missing.
const (
	WhyTrunkUnseenContact Code = "trunk_unseen_contact"
	WhyTrunkUnseen        Code = "trunk_unseen"
	WhyHipsUnseen         Code = "hips_unseen"
)
