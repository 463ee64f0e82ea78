package scoring

import (
	"cmp"

	"steadfall/internal/notes"
	"steadfall/kinematics"
)

// feetWords say of the leg that was asked for that the other one landed too or instead, and of
// a foot that it was not seen.
var feetWords = map[kinematics.Side]struct{ both, other, unseen string }{
	kinematics.Left: {
		"the landing was on both feet, not on the left one alone",
		"the landing was on the right foot, not on the left one",
		"whether the left foot landed too was not seen",
	},
	kinematics.Right: {
		"the landing was on both feet, not on the right one alone",
		"the landing was on the left foot, not on the right one",
		"whether the right foot landed too was not seen",
	},
}

// CheckFeet compares the feet that were seen to land, in the views of one landing, with those
// asked for; Both asks for nothing. Where the views differ the front is believed, which hides
// neither foot.
func CheckFeet(asked kinematics.Side, landings []kinematics.Landing) FeetCheck {
	left, right := footOf(landings, kinematics.Left), footOf(landings, kinematics.Right)
	landed := func(s kinematics.FootState) bool { return s == kinematics.FootLanded }
	c := FeetCheck{Finding: Clear}
	unseen := kinematics.Side("")
	switch {
	case !landed(left) && !landed(right): // nothing comes down in a snap-down
		c.Landed = asked
		return c
	case landed(left) && landed(right):
		c.Landed = kinematics.Both
	case left == kinematics.FootUnseen:
		unseen = kinematics.Left
	case right == kinematics.FootUnseen:
		unseen = kinematics.Right
	case landed(left):
		c.Landed = kinematics.Left
	default:
		c.Landed = kinematics.Right
	}
	one := asked == kinematics.Left || asked == kinematics.Right
	switch {
	case one && c.Landed == kinematics.Both:
		c.Finding, c.Why = Error, feetWords[asked].both
	case one && landed(footOf(landings, asked.Other())):
		c.Finding, c.Why = Error, feetWords[asked].other
	case unseen != "":
		c.Finding, c.Why = NotSeen, feetWords[unseen].unseen
	}
	return c
}

// footOf is what the views saw of a foot.
func footOf(landings []kinematics.Landing, side kinematics.Side) kinematics.FootState {
	out := kinematics.FootUnseen
	for _, l := range landings {
		if got := l.Foot(side); got != kinematics.FootUnseen && (out == kinematics.FootUnseen || l.View == kinematics.Front) {
			out = got
		}
	}
	return out
}

// Judged compares the feet that landed with those asked for, and gives the landings as far as
// they may be told and the leg that the trial is for, Both on two feet. A foot that nobody saw is
// taken to have landed unless one leg was asked for: the far one is often hidden from the side.
func Judged(asked kinematics.Side, landings []kinematics.Landing) (feet FeetCheck, limb kinematics.Side, told []kinematics.Landing) {
	feet = CheckFeet(asked, landings)
	if feet.Finding == Error {
		landings = Refused(landings, feet.Why)
	}
	limb = asked
	if limb != kinematics.Left && limb != kinematics.Right {
		limb = cmp.Or(feet.Landed, kinematics.Both)
	}
	return feet, limb, landings
}

// AsAsked says whether a trial was done as it was asked: on those feet, and as its task has it.
// It is empty where nothing is known of it, as of results of before that was checked.
func (r Result) AsAsked() Verdict {
	said := Verdict("")
	if r.Feet != nil && r.Feet.Finding != Clear {
		said = r.Feet.Finding
	}
	if r.Jump != nil && said != Error {
		if r.Jump.Finding != Clear || said == "" {
			said = r.Jump.Finding
		}
	}
	return said
}

// Refused are landings of which nothing may be told, for one reason: all that was measured is
// missing.
func Refused(landings []kinematics.Landing, why string) []kinematics.Landing {
	var out []kinematics.Landing
	for _, l := range landings {
		missing := l.Missing
		for _, m := range l.Measures {
			missing = append(missing, kinematics.Missing{Name: m.Name, Side: m.Side, View: l.View, Why: notes.Told(why)})
		}
		l.Missing, l.Measures = missing, nil
		out = append(out, l)
	}
	return out
}
