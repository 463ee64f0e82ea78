package scoring

import "steadfall/kinematics"

// tasks are what scoring knows of each task beyond its landing. A task that is not here is
// scored by its checklist and its feet alone.
var tasks = map[kinematics.Task]struct {
	check     func(Result) *JumpCheck   // that a jump was done as asked; nil asks for nothing
	published map[Feet][]PublishedRange // what was measured in it (docs/sources.md, Published ranges)
}{
	kinematics.DropLanding: {published: map[Feet][]PublishedRange{TwoFeet: dropOnTwo, OneFoot: landingOnOne}},
	kinematics.DropJump:    {published: map[Feet][]PublishedRange{TwoFeet: dropOnTwo}},
	kinematics.SquatJump:   {check: checkSquatJump},
}

const herringtonMunro2010 = "Herrington and Munro 2010, Phys Ther Sport 11:56; 100 adults, both sexes"

// dropOnTwo are of FPPA at the deepest point, on two feet.
var dropOnTwo = []PublishedRange{
	{"fppa_lowest", "women, 18 to 28 years, active", "drop jump landing", "7 to 13°", herringtonMunro2010},
	{"fppa_lowest", "men, 18 to 28 years, active", "drop jump landing", "3 to 8°", herringtonMunro2010},
}

// landingOnOne are of FPPA at the deepest point, on one foot.
var landingOnOne = []PublishedRange{
	{"fppa_lowest", "women, 18 to 28 years, active", "step landing on one leg", "5 to 12°", herringtonMunro2010},
	{"fppa_lowest", "men, 18 to 28 years, active", "step landing on one leg", "1 to 9°", herringtonMunro2010},
	{"fppa_lowest", "healthy women", "hop landing on one leg", "13.5 ± 5.7° (mean ± sd)", "Herrington 2014; 30 women"},
}
