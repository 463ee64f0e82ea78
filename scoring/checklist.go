// Package scoring turns the measures of a landing into findings: checklists are
// read and checked here, every item is decided with its probability, and the
// findings of a trial become a total with its range.
//
// A checklist is a YAML file (schema/checklist.schema.json); the bundled ones are
// in checklists/. The package is pure Go.
package scoring

import (
	"embed"
	"fmt"
	"slices"

	"github.com/goccy/go-yaml/ast"

	"steadfall/kinematics"
)

//go:embed checklists/*.yaml
var bundled embed.FS

// ChecklistSchema is the published JSON Schema of a checklist file.
//
//go:embed schema/checklist.schema.json
var ChecklistSchema []byte

// Checklist is a list of landing errors and how each is decided.
type Checklist struct {
	Name   string `yaml:"name" json:"name"`
	Title  string `yaml:"title" json:"title"`
	About  string `yaml:"about" json:"about"`
	Source string `yaml:"source" json:"source"`
	Feet   Feet   `yaml:"feet" json:"feet"`
	Items  []Item `yaml:"items" json:"items"`
}

// Feet says which landings a checklist is for.
type Feet string

// The landings a checklist can be for.
const (
	OneFoot   Feet = "one"
	TwoFeet   Feet = "two"
	AnyFeet   Feet = "any"
	eachLeg        = "each"   // points for each leg that shows the error
	eitherLeg      = "either" // points once when either leg shows it
	whole          = "whole"  // a measure of the body, not of a leg
	above          = "above"
	below          = "below"
)

// Item is one line of a checklist. An item with Rater is a person's judgement and
// is never computed; all others compare Measure with Threshold.
type Item struct {
	ID        string  `yaml:"id" json:"id"`
	Text      string  `yaml:"text" json:"text"` // the error in plain words
	View      string  `yaml:"view" json:"view"` // front, side or either
	Measure   string  `yaml:"measure,omitempty" json:"measure,omitempty"`
	Side      string  `yaml:"side,omitempty" json:"side,omitempty"`             // each, either or whole
	Absolute  bool    `yaml:"absolute,omitempty" json:"absolute,omitempty"`     // compare without the sign
	ErrorWhen string  `yaml:"error_when,omitempty" json:"error_when,omitempty"` // above or below
	Threshold float64 `yaml:"threshold,omitempty" json:"threshold"`
	Unit      string  `yaml:"unit,omitempty" json:"unit,omitempty"`
	Points    int     `yaml:"points" json:"points"`
	Rater     bool    `yaml:"rater,omitempty" json:"rater,omitempty"`
	Source    string  `yaml:"source" json:"source"`
	Cue       string  `yaml:"cue,omitempty" json:"cue,omitempty"`   // what the athlete is told
	Well      string  `yaml:"well,omitempty" json:"well,omitempty"` // the same when the error is not shown
}

var checklists = library{bundled, "checklists", "checklist"}

// Names lists the bundled checklists.
func Names() []string { return checklists.names() }

// Bundled returns the bundled checklist of that name as its YAML text.
func Bundled(name string) ([]byte, error) { return checklists.text(name) }

// Load returns the bundled checklist of that name, parsed.
func Load(name string) (Checklist, error) {
	data, err := Bundled(name)
	if err != nil {
		return Checklist{}, err
	}
	return Parse(data)
}

// Default is the checklist for a landing on that many feet.
func Default(feet int) string { return defaults[feetOf(feet)] }

var defaults = map[Feet]string{OneFoot: "one-foot-landing", TwoFeet: "two-foot-landing"}

func feetOf(feet int) Feet {
	if feet == 1 {
		return OneFoot
	}
	return TwoFeet
}

// Parse reads a checklist and checks it. Errors are *LineError.
func Parse(data []byte) (Checklist, error) {
	var c Checklist
	file, err := strict(data, &c)
	if err != nil {
		return c, err
	}
	return c, c.check(file)
}

func (c Checklist) check(file *ast.File) error {
	bad := func(where, format string, a ...any) error {
		return &LineError{lineOf(file, where), fmt.Sprintf(format, a...)}
	}
	switch {
	case c.Name == "":
		return bad("$", "the checklist has no name")
	case c.Source == "":
		return bad("$", "the checklist names no source; write where it comes from, or \"common practice, no source\"")
	case c.Feet != OneFoot && c.Feet != TwoFeet && c.Feet != AnyFeet:
		return bad("$.feet", "feet must be one, two or any")
	case len(c.Items) == 0:
		return bad("$", "the checklist has no items")
	}
	ids := map[string]bool{}
	for i, it := range c.Items {
		at := fmt.Sprintf("$.items[%d]", i)
		if ids[it.ID] {
			return bad(at+".id", "the id %q stands twice", it.ID)
		}
		ids[it.ID] = true
		if field, why := it.check(); why != "" {
			return bad(at+field, "item %q: %s", it.ID, why)
		}
		if !it.Rater && !has(file, at+".threshold") {
			return bad(at, "item %q: has no threshold", it.ID)
		}
	}
	return nil
}

// check returns the field that is wrong and why, or nothing.
func (it Item) check() (field, why string) {
	switch {
	case it.ID == "":
		return "", "has no id"
	case it.Text == "":
		return "", "has no text"
	case it.View != "front" && it.View != "side" && it.View != "either":
		return ".view", "view must be front, side or either"
	case it.Points < 1 || it.Points > mostPoints:
		return ".points", fmt.Sprintf("points must be 1 or more, and %d at most", mostPoints)
	case it.Source == "":
		return "", "names no source; write where it comes from, or \"common practice, no source\""
	case it.Rater && it.Measure != "":
		return ".measure", "a rater's item is not computed, so it has no measure"
	case it.Rater:
		return "", ""
	case kinematics.UnitOf(it.Measure) == "":
		return ".measure", fmt.Sprintf("there is no measure %q", it.Measure)
	case it.Unit != kinematics.UnitOf(it.Measure):
		return ".unit", fmt.Sprintf("%s is measured in %q, so the threshold must be too", it.Measure, kinematics.UnitOf(it.Measure))
	case it.Side != eachLeg && it.Side != eitherLeg && it.Side != whole:
		return ".side", "side must be each, either or whole"
	case it.ErrorWhen != above && it.ErrorWhen != below:
		return ".error_when", "error_when must be above or below"
	case it.Cue == "":
		return "", "has no cue for the athlete"
	}
	least, most := bounds(it.Measure)
	if it.Absolute {
		least = 0
	}
	if !(it.Threshold >= least && it.Threshold <= most) {
		return ".threshold", fmt.Sprintf("the threshold must be a number between %g and %g (%s), not %g", least, most, it.Unit, it.Threshold)
	}
	return "", ""
}

// mostPoints is more than any single error counts.
const mostPoints = 100

// signed are the lengths, times and shares that have a sign; angles have one.
var signed = []string{"knee_over_toe", "knee_over_midfoot", "contact_gap", "toe_lead", "posture_bias", "height_fade", "hip_rise"}

// bounds are the least and the most that a measure can be asked to be.
func bounds(measure string) (least, most float64) {
	most = 10000
	if kinematics.UnitOf(measure) == "deg" {
		return -180, 180
	}
	if slices.Contains(signed, measure) {
		return -most, most
	}
	return 0, most
}
