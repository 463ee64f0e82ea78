package physio

import (
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/scoring"
)

// Page is all trials of one athlete at one task on one day, with every number.
type Page struct {
	report.About
	Code     string
	Name     string // may be empty
	Date     string
	Task     kinematics.Task
	Trials   []Trial
	Progress []scoring.Progress // of the task, up to that day
	Others   []report.Link      // to other days and tasks
}

// Trial is one trial with who had a hand in it.
type Trial struct {
	Name     scoring.Sentence
	Link     string // to its own report; may be empty
	Limb     kinematics.Side
	Result   scoring.Result
	Pictures []report.Picture
	Signed   string
	Placed   []string // who placed points by hand
	Rated    []string // who judged items
	Poses    []Posture
	Before   []Posture // of the session before, in the same view; may be empty
}
