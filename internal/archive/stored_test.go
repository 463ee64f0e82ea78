package archive

import (
	"reflect"
	"strings"
	"testing"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// What is stored as JSON says by which name: a field that is renamed must not be lost from the
// archives that are there.
func TestStoredNamesAreWritten(t *testing.T) {
	seen := map[reflect.Type]bool{}
	var look func(path string, of reflect.Type)
	look = func(path string, of reflect.Type) {
		switch of.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
			look(path, of.Elem())
			return
		case reflect.Struct:
		default:
			return
		}
		if seen[of] {
			return
		}
		seen[of] = true
		for i := range of.NumField() {
			f := of.Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if f.IsExported() && !f.Anonymous && name == "" {
				t.Errorf("%s.%s has no name in JSON", path, f.Name)
			}
			look(path+"."+f.Name, f.Type)
		}
	}
	for _, stored := range []any{viewSettings{}, takeSettings{}, scoring.Result{}, scoring.Checklist{}} {
		of := reflect.TypeOf(stored)
		look(of.String(), of)
	}
}

// Settings are stored under the names that archives have held from the start, and those of a
// later version are not taken for this one's.
func TestStoredSettings(t *testing.T) {
	o := kinematics.Options{Task: kinematics.DropLanding, Limb: kinematics.Left, StatureCM: 172, Plumb: &kinematics.Plumb{X1: 1, Y1: 2, X2: 3, Y2: 4}, Seed: 1}
	text, err := packOptions(o)
	if err != nil {
		t.Fatal(err)
	}
	const names = `"Task":"drop-landing","Limb":"left","StatureCM":172,"Length":null,"CaptureFPS":0,"NominalFPS":0,"Mirrored":false,"Plumb":{"X1":1,"Y1":2,"X2":3,"Y2":4},"BoxCM":0,"SquareDeg":0,"Seed":1}`
	if want := `{"version":1,` + names; text != want {
		t.Errorf("stored as %s, want %s", text, want)
	}
	for _, text := range []string{text, "{" + names} {
		if got, err := unpackOptions(text); err != nil || !reflect.DeepEqual(got, o) {
			t.Errorf("%s: read as %+v, %v", text, got, err)
		}
	}
	if _, err := unpackOptions(`{"version":2,` + names); err == nil {
		t.Error("settings of a later version were taken for this one's")
	}
	film := TakeOptions{BoxCM: 30, Person: 2}
	if text, err = packTakeOptions(film); err != nil || text != `{"version":1,"box_cm":30,"person":2}` {
		t.Errorf("stored as %s, %v", text, err)
	}
	for _, text := range []string{text, `{"box_cm":30,"person":2}`} {
		if got, err := unpackTakeOptions(text); err != nil || got != film {
			t.Errorf("%s: read as %+v, %v", text, got, err)
		}
	}
	if _, err := unpackTakeOptions(`{"version":2}`); err == nil {
		t.Error("settings of a later version were taken for this one's")
	}
}
