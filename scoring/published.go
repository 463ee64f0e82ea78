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

// Minor reports whether somebody of that age is under adultAge; an age of 0 is unknown.
func Minor(ageYears float64) bool { return ageYears > 0 && ageYears < adultAge }

// Published returns the ranges that were measured in a task like this one on people like
// this one: none below adultAge, since the studies were of adults. ageYears of 0 is
// unknown.
func Published(task kinematics.Task, feet int, ageYears float64) []PublishedRange {
	if Minor(ageYears) {
		return nil
	}
	return slices.Clone(tasks[task].published[feetOf(feet)])
}
