package scoring

import (
	"slices"

	"steadfall/kinematics"
)

// PublishedRange is what a study found of a measure: context for a reader, never a limit
// between well and ill.
type PublishedRange struct {
	Measure string `json:"measure"`
	Who     string `json:"who"`
	Task    string `json:"task"`
	Range   string `json:"range"`
	Source  string `json:"source"`
}

// adultAge is the age from which on ranges of adults are shown.
const adultAge = 18

// published are the ranges of FPPA at the deepest point (docs/sources.md, Published ranges).
var published = []struct {
	feet  Feet
	tasks []kinematics.Task
	PublishedRange
}{
	{TwoFeet, []kinematics.Task{kinematics.DropLanding, kinematics.DropJump}, PublishedRange{
		"fppa_lowest", "women, 18 to 28 years, active", "drop jump landing", "7 to 13°", "Herrington and Munro 2010, Phys Ther Sport 11:56; 100 adults, both sexes",
	}},
	{TwoFeet, []kinematics.Task{kinematics.DropLanding, kinematics.DropJump}, PublishedRange{
		"fppa_lowest", "men, 18 to 28 years, active", "drop jump landing", "3 to 8°", "Herrington and Munro 2010, Phys Ther Sport 11:56; 100 adults, both sexes",
	}},
	{OneFoot, []kinematics.Task{kinematics.DropLanding}, PublishedRange{
		"fppa_lowest", "women, 18 to 28 years, active", "step landing on one leg", "5 to 12°", "Herrington and Munro 2010, Phys Ther Sport 11:56; 100 adults, both sexes",
	}},
	{OneFoot, []kinematics.Task{kinematics.DropLanding}, PublishedRange{
		"fppa_lowest", "men, 18 to 28 years, active", "step landing on one leg", "1 to 9°", "Herrington and Munro 2010, Phys Ther Sport 11:56; 100 adults, both sexes",
	}},
	{OneFoot, []kinematics.Task{kinematics.DropLanding}, PublishedRange{
		"fppa_lowest", "healthy women", "hop landing on one leg", "13.5 ± 5.7° (mean ± sd)", "Herrington 2014; 30 women",
	}},
}

// Minor reports whether somebody of that age is under adultAge; an age of 0 is unknown.
func Minor(ageYears float64) bool { return ageYears > 0 && ageYears < adultAge }

// Published returns the ranges that were measured in a task like this one on people like
// this one: none below adultAge, since the studies were of adults. ageYears of 0 is
// unknown.
func Published(task kinematics.Task, feet int, ageYears float64) []PublishedRange {
	if Minor(ageYears) {
		return nil
	}
	want := TwoFeet
	if feet == 1 {
		want = OneFoot
	}
	var out []PublishedRange
	for _, p := range published {
		if p.feet == want && slices.Contains(p.tasks, task) {
			out = append(out, p.PublishedRange)
		}
	}
	return out
}
