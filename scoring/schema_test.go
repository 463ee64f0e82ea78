package scoring_test

import (
	"encoding/json"
	"slices"
	"testing"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// The schema of results names the measures and units of the registry, and no others.
func TestSchemaNamesTheMeasures(t *testing.T) {
	type list struct {
		Enum []string `json:"enum"`
	}
	var schema struct {
		Defs struct {
			Measure list `json:"measure"`
			Unit    list `json:"unit"`
		} `json:"$defs"`
	}
	if err := json.Unmarshal(scoring.ResultSchema, &schema); err != nil {
		t.Fatal(err)
	}
	var names, units []string
	for _, m := range kinematics.Measures() {
		names, units = append(names, m.Name), append(units, m.Unit)
	}
	for _, c := range []struct{ have, want []string }{{schema.Defs.Measure.Enum, names}, {schema.Defs.Unit.Enum, units}} {
		slices.Sort(c.have)
		slices.Sort(c.want)
		if want := slices.Compact(c.want); !slices.Equal(c.have, want) {
			t.Errorf("the schema has %q, the registry %q", c.have, want)
		}
	}
}
