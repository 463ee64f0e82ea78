package scoring_test

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"steadfall/internal/testkit/schematest"
	"steadfall/scoring"
)

// The bundled checklists fit the published schema and the tool's own check.
func TestBundledChecklists(t *testing.T) {
	s := schematest.Compile(t, scoring.ChecklistSchema)
	for _, name := range scoring.Names() {
		text, err := scoring.Bundled(name)
		if err != nil {
			t.Fatal(err)
		}
		c, err := scoring.Parse(text)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if c.Name != name {
			t.Errorf("%s calls itself %q", name, c.Name)
		}
		asJSON, err := yaml.YAMLToJSON(text)
		if err != nil {
			t.Fatal(err)
		}
		schematest.Fits(t, s, name, asJSON)
	}
}

// The published instrument has 17 items and 19 points in all (Padua et al. 2009; item
// list from memory: docs/sources.md), and asks two of a person.
func TestPaduaTotals(t *testing.T) {
	c, err := scoring.Load("padua-2009")
	if err != nil {
		t.Fatal(err)
	}
	points, rater := 0, 0
	for _, it := range c.Items {
		points += it.Points
		if it.Rater {
			rater++
		}
	}
	if len(c.Items) != 17 || points != 19 || rater != 2 {
		t.Errorf("%d items, %d points, %d for a rater; want 17, 19, 2", len(c.Items), points, rater)
	}
}

func TestChecklistErrorsNameTheLine(t *testing.T) {
	good, err := scoring.Bundled("two-foot-landing")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(good), "\n")
	line := func(start string) int {
		for i, l := range lines {
			if strings.HasPrefix(strings.TrimSpace(l), start) {
				return i + 1
			}
		}
		t.Fatalf("no line %q", start)
		return 0
	}
	for _, c := range []struct{ from, to, why string }{
		{"measure: fppa_peak", "measure: fppa_guess", `there is no measure "fppa_guess"`},
		{"unit: ms", "unit: s", "measured in"},
		{"error_when: above", "error_when: over", "above or below"},
		{"view: front", "view: top", "front, side or either"},
		{"points: 1", "points: 0", "1 or more"},
		{"points: 1", "points: many", ""},
		{"cue: Push", "cues: Push", "unknown field"},
		{"feet: two", "feet: three", "one, two or any"},
	} {
		_, err := scoring.Parse([]byte(strings.Replace(string(good), c.from, c.to, 1)))
		var le *scoring.LineError
		if !errors.As(err, &le) || !strings.Contains(le.Why, c.why) {
			t.Errorf("%s: %v, want a LineError with %q", c.to, err, c.why)
			continue
		}
		if le.Line != line(c.from) {
			t.Errorf("%s: line %d, want %d", c.to, le.Line, line(c.from))
		}
	}
	if _, err := scoring.Parse([]byte("name: [")); err == nil {
		t.Error("broken YAML was taken")
	}
}

// A published copy of the schemas lies in the repository for other programs.
func TestSchemasAreWholeJSON(t *testing.T) {
	for _, f := range []string{"checklist", "result"} {
		data, err := os.ReadFile(filepath.Join("schema", f+".schema.json"))
		if err != nil {
			t.Fatal(err)
		}
		if !json.Valid(data) {
			t.Errorf("%s.schema.json is not JSON", f)
		}
	}
}
