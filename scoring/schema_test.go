package scoring_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// update writes the lists in the schema anew.
var update = flag.Bool("update", false, "write the measures and units of the schema anew")

// enum is a list in the schema, named so.
func enum(name string) *regexp.Regexp {
	return regexp.MustCompile(`"` + name + `": \{"enum": \[[^]]*\]\}`)
}

// The schema of results names the measures and units of the registry: go test ./scoring -run Schema
// -update writes them anew.
func TestSchemaNamesTheMeasures(t *testing.T) {
	var names, units []string
	for _, m := range kinematics.Measures() {
		names = append(names, m.Name)
		if !slices.Contains(units, m.Unit) {
			units = append(units, m.Unit)
		}
	}
	schema := string(scoring.ResultSchema)
	for name, want := range map[string][]string{"measure": names, "unit": units} {
		form := enum(name)
		if *update {
			schema = form.ReplaceAllLiteralString(schema, fmt.Sprintf(`"%s": {"enum": [`+"\n      \"%s\"\n    ]}", name, strings.Join(want, "\",\n      \"")))
		}
		var have struct {
			Enum []string `json:"enum"`
		}
		_, list, _ := strings.Cut(form.FindString(schema), ": ")
		if err := json.Unmarshal([]byte(list), &have); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !slices.Equal(have.Enum, want) {
			t.Errorf("the schema has %q, the registry %q", have.Enum, want)
		}
	}
	if *update {
		if err := os.WriteFile("schema/result.schema.json", []byte(schema), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
