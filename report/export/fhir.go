package export

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"github.com/google/uuid"

	"steadfall/kinematics"
)

// The code systems of the FHIR export. Measures have no standard codes, so their names are
// ours, under a name of our own; units are UCUM.
const (
	measureSystem = "urn:steadfall:measure"
	athleteSystem = "urn:steadfall:athlete"
	ucum          = "http://unitsofmeasure.org"
	uncertainty   = "http://hl7.org/fhir/StructureDefinition/iso21090-uncertainty"
	uncertainKind = "http://hl7.org/fhir/StructureDefinition/iso21090-uncertaintyType"
	category      = "http://terminology.hl7.org/CodeSystem/observation-category"
)

// ucumCodes are the units of measures in UCUM.
var ucumCodes = map[string]string{
	"deg": "deg", "cm": "cm", "cm²": "cm2", "ms": "ms", "s": "s", "× g": "[g]", "%": "%", "–": "1", "m/s": "m/s",
}

// object is a piece of a FHIR resource.
type object map[string]any

// WriteFHIR writes records as an HL7 FHIR R4 Bundle: a Patient with the athlete's code for
// each athlete and, for each trial, an Observation for every measure and one that holds
// them together. A measure's standard deviation is its iso21090-uncertainty. What nobody
// has signed is preliminary.
func WriteFHIR(w io.Writer, squad string, all []Record) error {
	entries := []object{}
	patients := map[string]string{}
	for _, r := range all {
		if patients[r.Athlete] == "" {
			url := urlOf("patient", squad, r.Athlete)
			patients[r.Athlete] = url
			entries = append(entries, object{"fullUrl": url, "resource": object{
				"resourceType": "Patient",
				"identifier":   []object{{"system": athleteSystem, "value": r.Athlete}},
			}})
		}
		entries = append(entries, observations(squad, patients[r.Athlete], r)...)
	}
	bundle := object{"resourceType": "Bundle", "type": "collection"}
	if len(entries) > 0 {
		bundle["entry"] = entries // FHIR has no empty lists
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", " ")
	enc.SetEscapeHTML(false)
	return enc.Encode(bundle)
}

// urlOf is an address that stays the same for the same thing from export to export.
func urlOf(parts ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	id, _ := uuid.FromBytes(sum[:16])               // 16 bytes always make one
	id[6], id[8] = id[6]&0x0f|0x80, id[8]&0x3f|0x80 // version 8, RFC 9562
	return "urn:uuid:" + id.String()
}

// observations are the measures of a trial and the Observation that holds them together.
func observations(squad, patient string, r Record) []object {
	key := append([]string{"observation", squad}, r.key()...)
	var entries, members []object
	for _, m := range r.Result.Measures {
		url := urlOf(append(key, m.Name, string(m.Side), string(m.View))...)
		members = append(members, object{"reference": url})
		o := observation(patient, r, m.Name, describe(m))
		o["valueQuantity"] = quantity(m)
		if m.Side != kinematics.Both {
			o["bodySite"] = object{"text": string(m.Side) + " leg"}
		}
		if m.AtLeast {
			o["valueQuantity"].(object)["comparator"] = ">="
		}
		entries = append(entries, object{"fullUrl": url, "resource": o})
	}
	whole := observation(patient, r, "trial", fmt.Sprintf("%s, trial %d", r.Task, r.Trial))
	if len(members) > 0 {
		whole["hasMember"] = members
	}
	s := r.Result.Score
	whole["valueString"] = fmt.Sprintf("%s: %d sure errors, expected %.1f of %d, 9 times in 10 between %d and %d", s.Title, s.Errors, s.Expected, s.Most, s.Low, s.High)
	whole["note"] = []object{{"text": "A screening from video, not a diagnosis. The uncertainty of each value is one standard deviation."}}
	return append(entries, object{"fullUrl": urlOf(append(key, "trial")...), "resource": whole})
}

func describe(m kinematics.Measure) string {
	about, _ := kinematics.Describe(m.Name)
	return about.Words
}

func observation(patient string, r Record, code, words string) object {
	status := "preliminary"
	if r.Signed != "" {
		status = "final"
	}
	return object{
		"resourceType":      "Observation",
		"status":            status,
		"category":          []object{{"coding": []object{{"system": category, "code": "exam"}}}},
		"code":              object{"coding": []object{{"system": measureSystem, "code": code, "display": words}}, "text": words},
		"subject":           object{"reference": patient},
		"effectiveDateTime": r.Date,
		"method":            object{"text": "two-dimensional video, " + r.Result.Tool},
	}
}

func quantity(m kinematics.Measure) object {
	return object{
		"value": m.Value, "unit": m.Unit, "system": ucum, "code": ucumCodes[m.Unit],
		"extension": []object{{"url": uncertainty, "valueDecimal": m.SD}, {"url": uncertainKind, "valueCode": "N"}},
	}
}
