package bounded_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfall/internal/bounded"
)

// What is too deep is refused, and what only looks so is not.
func TestDepth(t *testing.T) {
	for _, c := range []struct {
		text       string
		json, yaml bool // is taken as
	}{
		{`{"a": [[1], {"b": []}]}`, true, true},
		{strings.Repeat("[", 32) + strings.Repeat("]", 32), true, true},
		{strings.Repeat("[", 33), false, false},
		{strings.Repeat("[", 50000), false, false},
		{strings.Repeat(`{"a":`, 5000), false, false},
		{strings.Repeat("[[],", 5000), false, false},
		{strings.Repeat(`["]",`, 5000), false, false}, // a bracket in a text closes nothing
		{`["` + strings.Repeat(`[\"`, 500) + `"]`, true, true},
		{strings.Repeat("- ", 5000), true, false},
		{strings.Repeat("? ", 5000), true, false},
		{strings.Repeat("- [", 5000), false, false},
		{strings.Repeat("- a\n", 5000), true, true},
		{"a: \"" + strings.Repeat("[", 500) + "\"", true, true},
		{"# " + strings.Repeat("[", 40) + "\na: b", false, true},
		{strings.Repeat("a", 70<<10), true, false},
	} {
		if err := bounded.JSON([]byte(c.text)); (err == nil) != c.json {
			t.Errorf("JSON %.20q: %v", c.text, err)
		}
		if _, err := bounded.YAML([]byte(c.text)); (err == nil) != c.yaml {
			t.Errorf("YAML %.20q: %v", c.text, err)
		}
	}
	if line, err := bounded.YAML([]byte("a: b\nc: " + strings.Repeat("[", 99))); line != 2 {
		t.Errorf("line %d, %v", line, err)
	}
}

// A file of any size is read no further than it may be.
func TestSize(t *testing.T) {
	if data, err := bounded.Read(strings.NewReader("12345"), 5); err != nil || string(data) != "12345" {
		t.Errorf("%q, %v", data, err)
	}
	if _, err := bounded.Read(strings.NewReader("123456"), 5); !errors.Is(err, bounded.ErrLarge) {
		t.Error(err)
	}
	name := filepath.Join(t.TempDir(), "endless.json")
	if err := os.WriteFile(name, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(name, 1<<40); err != nil { // of holes
		t.Skip(err)
	}
	if _, err := bounded.ReadFile(name, 1<<10, "the result"); err == nil || !strings.Contains(err.Error(), "is larger than anything that is read here (1 kB at most); is it the right file?") {
		t.Error(err)
	}
	if _, err := bounded.ReadFile(name+"x", 1<<10, "the result"); err == nil || !strings.HasSuffix(err.Error(), "cannot be read; check the name and the folder") {
		t.Error(err)
	}
}

func TestTable(t *testing.T) {
	for text, why := range map[string]string{
		"a,b\n1,\"2, 3\"\n":                    "",
		"a,b\n1,\"2\n3\"\n":                    "a quote in line 2 that is not closed",
		"a\n" + strings.Repeat("x", 20<<10):    "a line 2 of more than 16 kB",
		strings.Repeat("0123456789\n", 100000): "",
	} {
		_, err := io.Copy(io.Discard, bounded.Table(strings.NewReader(text)))
		if why == "" && err != nil || why != "" && (err == nil || !strings.Contains(err.Error(), why)) {
			t.Errorf("%.20q: %v", text, err)
		}
	}
}
