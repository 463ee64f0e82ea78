package kinematics

import "math"

// stanceMeasures relate the two legs as the front sees them.
var stanceMeasures = []definition{
	{About: About{
		Name: "knee_separation_ratio_contact", Unit: unitPlain, View: Front, Sides: WholeBody, Words: "knees apart over ankles apart, at contact",
		Definition: "knee to knee over ankle to ankle in the picture, at the first contact",
		Sign:       "under 1 the knees are nearer together than the ankles", Source: "knee separation: Noyes et al. 2005, Am J Sports Med 33:197, from memory",
	}, body: ofTwoFeet(kneeSeparationContact)},
	{About: About{
		Name: "knee_separation_ratio_least", Unit: unitPlain, View: Front, Sides: WholeBody, Words: "knees apart over ankles apart, at its least",
		Definition: "the least knee to knee over ankle to ankle in the picture, from contact to still",
		Sign:       "under 1 the knees are nearer together than the ankles", Source: "knee separation: Noyes et al. 2005, Am J Sports Med 33:197, from memory",
	}, body: ofTwoFeet(kneeSeparationLeast)},
	{About: About{
		Name: "stance_width_ratio", Unit: unitPlain, View: Front, Sides: WholeBody, Words: "ankles apart over shoulder width at contact",
		Definition: "ankle to ankle over shoulder to shoulder in the picture, at the later foot's contact",
		Source:     common,
	}, body: ofTwoFeet(stanceWidth)},
	{About: About{
		Name: "contact_gap", Unit: unitMS, View: Front, Sides: WholeBody, Words: "left foot down after (+) the right",
		Definition: "the left foot's contact less the right foot's",
		Sign:       "positive is the left foot later", Source: common,
	}, body: ofTwoFeet(contactsApart)},
}

// ofTwoFeet is a measure that a one-foot landing does not have.
func ofTwoFeet(of func(*takings) value) func(*takings) value {
	return func(t *takings) value {
		if len(t.legs()) == 1 {
			return none(WhyOneFoot)
		}
		return of(t)
	}
}

// apart is how far left and right of a part are apart in the picture over time, px.
func (t *takings) apart(p map[Landmark]path, part Part) curve {
	l, r := p[On(Left, part)], p[On(Right, part)]
	if l.x == nil || r.x == nil {
		return t.unseen()
	}
	return t.newCurve(func(i int) float64 { return l.at(i).to(r.at(i)) })
}

// apartOver is one of those over another.
func (t *takings) apartOver(p map[Landmark]path, part, over Part) curve {
	x, y := t.apart(p, part), t.apart(p, over)
	return t.newCurve(func(i int) float64 { return x[i] / y[i] })
}

func kneeSeparationContact(t *takings) value {
	return value{v: t.at(t.apartOver(t.light, Knee, Ankle), t.when.first), t: t.when.first, why: WhyKneesUnseenContact}
}

func kneeSeparationLeast(t *takings) value {
	out := none(WhyKneesUnseen)
	if c := t.apartOver(t.pos, Knee, Ankle); t.seen(c, t.when.from(), t.when.settled()) {
		out.v, out.t = t.least(c, t.when.from(), t.when.settled())
	}
	return out
}

func stanceWidth(t *takings) value {
	// The feet of one landing stand by the later contact.
	both := math.Max(t.when.contact[Left], t.when.contact[Right])
	return value{v: t.at(t.apartOver(t.light, Ankle, Shoulder), both), t: t.when.first, why: WhyStanceUnseen}
}

func contactsApart(t *takings) value {
	out := none(WhyContactsUnseen)
	out.t = t.when.first
	if len(t.when.contact) == 2 {
		out.v = (t.when.contact[Left] - t.when.contact[Right]) * 1000
	}
	return out
}

// Why measures of this file may be missing.
const (
	WhyKneesUnseenContact Code = "knees_unseen_contact"
	WhyKneesUnseen        Code = "knees_unseen"
	WhyStanceUnseen       Code = "stance_unseen"
	WhyContactsUnseen     Code = "contacts_unseen"
	WhyOneFoot            Code = "one_foot"
)
