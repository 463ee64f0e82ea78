package sheet

import (
	"steadfall/report"
	"steadfall/scoring"
)

// Page is the athlete's own page of one trial: what they did, what went well, what to do
// next. It holds no total and no chance of anything.
type Page struct {
	report.About
	Name     string // how the athlete is addressed; may be empty
	Date     string
	Result   scoring.Result
	Pictures []report.Picture
	Progress []scoring.Progress // of the athlete; may be empty
	Jumps    []scoring.JumpSummary
	Next     string        // what the ladder says, a sentence of the messages; may be empty
	Step     string        // the step that Next names; may be empty
	Links    []report.Link // to more
}
