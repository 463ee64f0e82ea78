package scoring

import (
	"embed"
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"steadfall/kinematics"
)

//go:embed ladders/*.yaml
var ladders embed.FS

// DefaultLadder is the bundled ladder.
const DefaultLadder = "landing-ladder"

// Ladder is the steps from landing to jumping, and what earns each next one.
type Ladder struct {
	Name   string     `yaml:"name"`
	Title  string     `yaml:"title"`
	About  string     `yaml:"about"`
	Source string     `yaml:"source"`
	Chance float64    `yaml:"chance"` // a rule is met when the chance that it is not is at most this
	Physio PhysioRule `yaml:"physio"`
	Steps  []Step     `yaml:"steps"`
}

// PhysioRule is what sends an athlete to the physio, on whatever step.
type PhysioRule struct {
	PainAbove int      `yaml:"pain_above"` // of 10, at any session, until somebody notes that it is over
	Items     []string `yaml:"items"`      // sure errors in at least half of the trials that showed them …
	Sessions  int      `yaml:"sessions"`   // … in this many sessions in a row
}

// Step is one task of the ladder and the rules that say it is done. The rules look at the
// last Sessions sessions in which the athlete did it.
type Step struct {
	ID          string          `yaml:"id"`
	Title       string          `yaml:"title"`
	Task        kinematics.Task `yaml:"task"`
	Feet        Feet            `yaml:"feet"`      // one or two; on one, each leg must pass
	Checklist   string          `yaml:"checklist"` // bundled, whose scores count
	Sessions    int             `yaml:"sessions"`
	ClearTrials int             `yaml:"clear_trials"` // in each session (and leg)
	Clear       []string        `yaml:"clear"`        // errors that a trial must not show to count
	Never       []string        `yaml:"never"`        // items of which no trial may show a sure error
	HoldS       float64         `yaml:"hold_s"`       // hold for a trial to count; 0: not asked
	Symmetry    *Symmetry       `yaml:"symmetry"`
	PainAtMost  *int            `yaml:"pain_at_most"` // of 10; not given: not asked

	texts  map[string]string // of the checklist's items
	chance float64           // of the ladder
}

// Symmetry asks that a height or distance differs between the legs by at most Percent.
type Symmetry struct {
	Measure string  `yaml:"measure"`
	Percent float64 `yaml:"percent"`
}

var allLadders = library{ladders, "ladders", "ladder"}

// LadderNames lists the bundled ladders.
func LadderNames() []string { return allLadders.names() }

// BundledLadder returns the bundled ladder of that name as its YAML text.
func BundledLadder(name string) ([]byte, error) { return allLadders.text(name) }

// LoadLadder returns the bundled ladder of that name, parsed.
func LoadLadder(name string) (Ladder, error) {
	data, err := BundledLadder(name)
	if err != nil {
		return Ladder{}, err
	}
	return ParseLadder(data)
}

// ParseLadder reads a ladder and checks it. Errors are *LineError.
func ParseLadder(data []byte) (Ladder, error) {
	var l Ladder
	file, err := strict(data, &l)
	if err != nil {
		return l, err
	}
	return l, l.check(file)
}

func (l Ladder) check(file *ast.File) error {
	bad := func(where, format string, a ...any) error {
		return &LineError{lineOf(file, where), fmt.Sprintf(format, a...)}
	}
	switch {
	case l.Name == "":
		return bad("$", "the ladder has no name")
	case l.Source == "":
		return bad("$", "the ladder names no source; write where it comes from, or \"common practice, no source\"")
	case len(l.Steps) == 0:
		return bad("$", "the ladder has no steps")
	case !(l.Chance >= 0.01 && l.Chance <= 0.5):
		return bad("$.chance", "chance must be between 0.01 and 0.5")
	case l.Physio.PainAbove < 0 || l.Physio.PainAbove > mostPain:
		return bad("$.physio.pain_above", "pain_above must be a whole number from 0 to %d", mostPain)
	case l.Physio.Sessions < 0 || l.Physio.Sessions > mostAsked:
		return bad("$.physio.sessions", "physio.sessions must be 0 to %d", mostAsked)
	case len(l.Physio.Items) > 0 && l.Physio.Sessions < 1:
		return bad("$.physio", "physio.sessions must be 1 or more")
	}
	ids := map[string]bool{}
	for i := range l.Steps {
		s := &l.Steps[i]
		s.chance = l.Chance
		at := fmt.Sprintf("$.steps[%d]", i)
		if ids[s.ID] {
			return bad(at+".id", "the id %q stands twice", s.ID)
		}
		ids[s.ID] = true
		if field, why := s.check(); why != "" {
			return bad(at+field, "step %q: %s", s.ID, why)
		}
	}
	return nil
}

// The most that a ladder can ask: of pain, in sessions or trials, and for a hold in seconds.
const (
	mostPain  = 10
	mostAsked = 100
	mostHoldS = 60
)

// check returns the field that is wrong and why, or nothing; it learns the words of the
// checklist's items.
func (s *Step) check() (field, why string) {
	_, err := kinematics.ParseTask(string(s.Task))
	switch {
	case s.ID == "" || s.Title == "":
		return "", "needs an id and a title"
	case err != nil:
		return ".task", err.Error()
	case s.Feet != OneFoot && s.Feet != TwoFeet:
		return ".feet", "feet must be one or two"
	case s.Sessions < 1 || s.Sessions > mostAsked:
		return ".sessions", fmt.Sprintf("sessions must be 1 or more, and %d at most", mostAsked)
	case s.ClearTrials < 1 || s.ClearTrials > mostAsked:
		return ".clear_trials", fmt.Sprintf("clear_trials must be 1 or more, and %d at most", mostAsked)
	case !(s.HoldS >= 0 && s.HoldS <= mostHoldS):
		return ".hold_s", fmt.Sprintf("hold_s must be between 0 and %d seconds, not %g", mostHoldS, s.HoldS)
	case s.PainAtMost != nil && (*s.PainAtMost < 0 || *s.PainAtMost > mostPain):
		return ".pain_at_most", fmt.Sprintf("pain_at_most must be a whole number from 0 to %d", mostPain)
	}
	list, err := Load(s.Checklist)
	if err != nil {
		return ".checklist", err.Error()
	}
	s.texts = map[string]string{}
	for _, it := range list.Items {
		s.texts[it.ID] = it.Text
	}
	for field, ids := range map[string][]string{".clear": s.Clear, ".never": s.Never} {
		for _, id := range ids {
			if s.texts[id] == "" {
				return field, fmt.Sprintf("the checklist %s has no item %q", s.Checklist, id)
			}
		}
	}
	if y := s.Symmetry; y != nil {
		unit := kinematics.UnitOf(y.Measure)
		switch {
		case s.Feet != OneFoot:
			return ".symmetry", "legs are compared on one-foot steps only"
		case unit != "cm" && unit != "s":
			return ".symmetry", "a ratio of the legs means something for heights, distances and times only"
		case !(y.Percent > 0 && y.Percent < 100):
			return ".symmetry", "percent must be between 0 and 100"
		}
	}
	return "", ""
}

// Step returns the step of that id. The empty id is the first step.
func (l Ladder) Step(id string) (Step, error) {
	if id == "" {
		return l.Steps[0], nil
	}
	var ids []string
	for _, s := range l.Steps {
		if s.ID == id {
			return s, nil
		}
		ids = append(ids, s.ID)
	}
	return Step{}, fmt.Errorf("the ladder %s has no step %q; its steps are %s", l.Name, id, strings.Join(ids, ", "))
}

// After returns the id of the step after the one of that id, and "" after the last.
func (l Ladder) After(id string) string {
	for i, s := range l.Steps {
		if s.ID == id && i+1 < len(l.Steps) {
			return l.Steps[i+1].ID
		}
	}
	return ""
}
