package kinematics_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"steadfall/kinematics"
)

// update writes the list in the docs anew.
var update = flag.Bool("update", false, "write docs/measures.md anew")

// Every measure says what it is, how it is told and by whom; no two have one name.
func TestMeasuresSayWhatTheyAre(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range kinematics.Measures() {
		if seen[m.Name] {
			t.Errorf("%s stands twice", m.Name)
		}
		seen[m.Name] = true
		for what, words := range map[string]string{"unit": m.Unit, "sides": string(m.Sides), "words": m.Words, "definition": m.Definition, "source": m.Source} {
			if words == "" {
				t.Errorf("%s has no %s", m.Name, what)
			}
		}
	}
}

// What is measured is in the registry, in its view, on its sides and in its unit.
func TestResultsFollowTheRegistry(t *testing.T) {
	for _, view := range []kinematics.View{kinematics.Front, kinematics.SideRight} {
		for _, task := range kinematics.Tasks {
			s := dropFront()
			s.View = view
			tr, _ := s.Track()
			l, err := kinematics.Derive(tr, kinematics.Options{Task: task, StatureCM: 175})
			if err != nil {
				t.Fatal(err)
			}
			if len(l.Measures) < 10 {
				t.Errorf("%s, %s: %d measures", view, task, len(l.Measures))
			}
			for _, m := range l.Measures {
				about, ok := kinematics.Describe(m.Name)
				inView := about.View == "" || about.View == view || about.View == kinematics.Sideways && view.IsSide()
				if !ok || !inView || about.Unit != m.Unit || (m.Side == kinematics.Both) != (about.Sides == kinematics.WholeBody) && about.Sides != kinematics.EachLegAndMean {
					t.Errorf("%s, %s: %s (%s) in %q is none of %+v", view, task, m.Name, m.Side, m.Unit, about)
				}
			}
		}
	}
}

// The list of measures in the docs is that of the registry: go test ./kinematics -run Docs -update
// writes it anew.
func TestDocsListTheMeasures(t *testing.T) {
	var b strings.Builder
	b.WriteString("# Measures\n\nMade from the registry of `kinematics`; a test keeps it so. The names are those of result files, checklists and\nexports, and each number has one standard deviation.\n\n| name | unit | view | sides | what it is | sign | source |\n|---|---|---|---|---|---|---|\n")
	for _, m := range kinematics.Measures() {
		view, sign := string(m.View), m.Sign
		if view == "" {
			view = "either"
		}
		if sign == "" {
			sign = "–"
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s | %s | %s |\n", m.Name, m.Unit, view, m.Sides, m.Definition, sign, m.Source)
	}
	const file = "../docs/measures.md"
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	docs, err := os.ReadFile(file)
	if err != nil || string(docs) != b.String() {
		t.Errorf("%s is not what the registry says (%v); write it anew with -update", file, err)
	}
}
