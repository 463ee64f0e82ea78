package export_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"steadfall/internal/simulated"
	"steadfall/internal/testkit/schematest"
	"steadfall/internal/testkit/scored"
	"steadfall/kinematics"
	"steadfall/report/export"
	"steadfall/scoring"
)

func records(t *testing.T) []export.Record {
	t.Helper()
	var out []export.Record
	for n, view := range []kinematics.View{kinematics.Front, kinematics.SideRight} {
		r := scored.Simulate(t, simulated.Landing{View: view, FPS: 60, StatureCM: 175, PxPerCM: 4.2, BoxCM: 30, DepthCM: 20, HoldS: 2.5, SD: 1}, nil).Result
		out = append(out, export.Record{Athlete: "Ash", Date: "2026-09-01", Task: r.Task, Limb: r.Limb, Trial: n + 1, Landing: 1, Made: "2026-09-01T10:00:00Z", Result: r})
	}
	return out
}

// A bundle follows HL7's published JSON Schema of FHIR R4 (4.0), cut to what it uses, and
// the rules that a schema cannot say: references lead to something in the bundle, unit
// codes are UCUM, addresses are stable, and every quantity has its uncertainty.
func TestFHIR(t *testing.T) {
	text, err := os.ReadFile("testdata/fhir-r4.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	s := schematest.Compile(t, text)
	var b, again bytes.Buffer
	all := records(t)
	for _, w := range []*bytes.Buffer{&b, &again} {
		if err := export.WriteFHIR(w, "Larkfield Lanterns", all); err != nil {
			t.Fatal(err)
		}
	}
	schematest.Fits(t, s, "bundle", b.Bytes())
	if !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Error("two exports of the same records differ")
	}
	var empty bytes.Buffer
	if err := export.WriteFHIR(&empty, "Larkfield Lanterns", nil); err != nil {
		t.Fatal(err)
	}
	schematest.Fits(t, s, "empty bundle", empty.Bytes())

	type reference struct{ Reference string }
	var bundle struct {
		Entry []struct {
			FullURL  string
			Resource struct {
				ResourceType  string
				Subject       reference
				HasMember     []reference
				ValueQuantity *struct {
					Value     float64
					Unit      string
					Code      string
					Extension []struct {
						URL          string
						ValueDecimal float64
					}
				}
			}
		}
	}
	if err := json.Unmarshal(b.Bytes(), &bundle); err != nil {
		t.Fatal(err)
	}
	// From UCUM's table of units (ucum.org): degree, centimetre and its square, second,
	// millisecond, metre a second, percent, standard acceleration of free fall, the unity.
	ucum := map[string]string{"deg": "deg", "cm": "cm", "cm²": "cm2", "s": "s", "ms": "ms", "m/s": "m/s", "%": "%", "× g": "[g]", "–": "1"}
	there := map[string]bool{}
	for _, e := range bundle.Entry {
		if there[e.FullURL] {
			t.Errorf("%s stands twice", e.FullURL)
		}
		there[e.FullURL] = true
	}
	values, measures := 0, 0
	for _, r := range all {
		measures += len(r.Result.Measures)
	}
	for _, e := range bundle.Entry {
		for _, ref := range append(e.Resource.HasMember, e.Resource.Subject) {
			if e.Resource.ResourceType == "Observation" && !there[ref.Reference] {
				t.Errorf("%s leads nowhere", ref.Reference)
			}
		}
		q := e.Resource.ValueQuantity
		if q == nil {
			continue
		}
		values++
		if ucum[q.Unit] != q.Code || q.Code == "" {
			t.Errorf("%s has the code %q, want %q", q.Unit, q.Code, ucum[q.Unit])
		}
		if len(q.Extension) != 2 || !(q.Extension[0].ValueDecimal > 0) {
			t.Errorf("no uncertainty: %+v", q)
		}
	}
	if values != measures || values == 0 {
		t.Errorf("%d values, want %d", values, measures)
	}
}

func TestTablesAndJSON(t *testing.T) {
	all := records(t)
	var m, f, j bytes.Buffer
	if err := export.WriteMeasures(&m, all); err != nil {
		t.Fatal(err)
	}
	if err := export.WriteFindings(&f, all); err != nil {
		t.Fatal(err)
	}
	if err := export.WriteJSON(&j, export.Document{Squad: "Larkfield Lanterns", Invented: true, Records: all}); err != nil {
		t.Fatal(err)
	}
	schematest.Fits(t, schematest.Compile(t, export.Schema), "export", j.Bytes())
	rows, err := csv.NewReader(&m).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	first := all[0].Result.Measures[0]
	value, err := strconv.ParseFloat(rows[1][10], 64)
	if err != nil || rows[1][7] != first.Name || value != first.Value || math.IsNaN(value) {
		t.Errorf("first row %v, want %+v", rows[1], first)
	}
	if want := 1 + len(all[0].Result.Measures) + len(all[1].Result.Measures); len(rows) != want {
		t.Errorf("%d rows of measures, want %d", len(rows), want)
	}
	if rows, err = csv.NewReader(&f).ReadAll(); err != nil || len(rows) != 1+len(all[0].Result.Score.Items)+len(all[1].Result.Score.Items) {
		t.Errorf("%d rows of findings, %v", len(rows), err)
	}
}

// The published schemas name every task that there is.
func TestSchemasNameEveryTask(t *testing.T) {
	var names []string
	for _, task := range kinematics.Tasks {
		names = append(names, strconv.Quote(string(task)))
	}
	want := `"task": {"enum": [` + strings.Join(names, ", ") + `]}`
	for name, schema := range map[string][]byte{"export": export.Schema, "result": scoring.ResultSchema} {
		if !bytes.Contains(schema, []byte(want)) {
			t.Errorf("the schema of the %s has not %s", name, want)
		}
	}
}
