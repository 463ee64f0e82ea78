package kinematics

// depthMeasures are how far the hips sink.
var depthMeasures = []definition{
	{About: About{
		Name: "landing_depth", Unit: unitCM, Sides: WholeBody, Words: "hips sink from contact to the deepest point",
		Definition: "the middle of the hips at its lowest before still, below where it was at the first contact",
		Source:     common,
	}, body: func(t *takings) value {
		return t.length(value{v: t.cm(t.sunk()), t: t.when.lowest, why: WhyDepthUnseen})
	}},
	{About: About{
		Name: "landing_depth_share", Unit: unitPart, Sides: WholeBody, Words: "the same, of standing hip height",
		Definition: "landing_depth over the height of the hips above the floor while standing",
		Source:     common,
	}, body: func(t *takings) value {
		return value{v: 100 * t.sunk() / t.hip, t: t.when.lowest, why: WhyDepthUnseen}
	}},
	{About: About{
		Name: "landing_depth_from_standing", Unit: unitCM, Sides: WholeBody, Words: "hips sink from standing to the deepest point",
		Definition: "the height of the hips above the floor while standing less that at the deepest point",
		Source:     common,
	}, body: depthFromStanding},
}

// deepest is the height of the hips in the picture at their lowest before still, px.
func (t *takings) deepest() float64 {
	_, low := t.lowest(t.hips, t.when.from(), t.when.settled())
	return low
}

// sunk is how far the hips sink from the first contact, px.
func (t *takings) sunk() float64 {
	return t.deepest() - valueAt(t.middle(t.light, Hip).y, t.position(t.when.first))
}

func depthFromStanding(t *takings) value {
	out := none(WhyStandingDepthUnseen)
	out.t = t.when.lowest
	if ankle := t.middle(t.pos, Ankle); t.found && ankle.y != nil {
		left := t.over(ankle.y, t.when.lowest-0.03, t.when.lowest+0.03) - t.deepest() + ankleHeight*t.body
		out.v = t.cm(t.hip - left)
	}
	return t.length(out)
}

// Why measures of this file may be missing.
const (
	WhyDepthUnseen         Code = "depth_unseen"
	WhyStandingDepthUnseen Code = "standing_depth_unseen"
)
