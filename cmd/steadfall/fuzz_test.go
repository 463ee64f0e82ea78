package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var noNumber = regexp.MustCompile(`\b(NaN|[+-]?Inf)\b`)

// Whatever stands in a result file, the commands that read one print numbers or one plain
// sentence.
func FuzzResult(f *testing.F) {
	f.Add([]byte(`{"schema": 1, "measures": [{"name": "landing_depth", "side": "both", "value": 20, "sd": 1, "unit": "cm"}]}`))
	f.Add([]byte(`{"schema": 1, "task": "countermovement-jump", "measures": [{"name": "jump_height", "value": 1e308, "sd": 1e308}, {"name": "jump_height", "value": -1e308, "sd": -1}]}`))
	f.Add([]byte(`{"schema": 1, "score": {"items": [{"id": "x", "probability": 2}]}, "measures": null}`))
	f.Add([]byte(`[]`))
	f.Fuzz(func(t *testing.T, data []byte) {
		name := filepath.Join(t.TempDir(), "result.json")
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"compare", "--then", name, "--now", name}, {"trials", name, name}} {
			var out, moan bytes.Buffer
			status := run(args, &out, &moan)
			if status == 1 && strings.Count(moan.String(), "\n") != 1 || status > 1 {
				t.Errorf("%s: %d\n%s", args[0], status, moan.String())
			}
			if bad := noNumber.FindString(out.String()); bad != "" {
				t.Errorf("%s prints %s:\n%s", args[0], bad, out.String())
			}
		}
	})
}
