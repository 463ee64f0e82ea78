// Command licences prints what the program is made of and under which licence: as the
// copyright file of a Debian package, with every text in full.
//
//	go run ./internal/tools/licences > copyright
package main

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// The list is kept by hand, since detection by machine takes some licences for others; the
// test holds it against the texts and against what is linked.
//
//go:embed list.tsv
var list string

// shipped are the works of others that are no Go modules, with their notices and texts.
var shipped = []struct {
	name  string
	texts []string
}{
	{"the nets: Apache-2.0", []string{"internal/models/NOTICE", "internal/models/LICENSE"}},
	{"ONNX Runtime: MIT", []string{"internal/models/LICENSE.onnxruntime"}},
	{"echarts: Apache-2.0", []string{"report/assets/echarts/NOTICE", "report/assets/echarts/LICENSE"}},
	{"scripts of the desk: 0BSD, MIT", []string{"internal/desk/static/LICENSES.txt"}},
}

// module is a Go module that is linked into the program; Go itself has the path std.
type module struct {
	Path, Version, Dir string
}

func main() {
	if err := write(os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "licences: error:", err)
		os.Exit(1)
	}
}

func write(w io.Writer) error {
	known := licences()
	linked, err := modules()
	if err != nil {
		return err
	}
	own, err := os.ReadFile("LICENSE")
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "steadfall\n\n%s", own)
	for _, s := range shipped {
		fmt.Fprintf(w, "\n---- %s\n", s.name)
		for _, name := range s.texts {
			text, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			fmt.Fprintf(w, "\n%s", text)
		}
	}
	for _, m := range linked {
		if known[m.Path] == "" {
			return fmt.Errorf("the licence of %s is not in internal/tools/licences/list.tsv; read it and add it", m.Path)
		}
		texts, err := textsOf(m)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "\n---- %s %s: %s\n", m.Path, m.Version, known[m.Path])
		for _, t := range texts {
			fmt.Fprintf(w, "\n%s", t)
		}
	}
	return nil
}

// licences are the SPDX names by module.
func licences() map[string]string {
	out := map[string]string{}
	for line := range strings.Lines(list) {
		if path, name, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
			out[path] = name
		}
	}
	return out
}

// modules are the modules of others that are linked into the program, in order.
func modules() ([]module, error) {
	out, err := exec.Command("go", "list", "-deps", "-json=Module", "steadfall/cmd/steadfall").Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	root, err := exec.Command("go", "env", "GOROOT", "GOVERSION").Output()
	if err != nil {
		return nil, fmt.Errorf("go env: %w", err)
	}
	env := strings.Fields(string(root))
	all := []module{{"std", env[1], env[0]}}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct{ Module *module }
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		if p.Module != nil && p.Module.Path != "steadfall" && !slices.Contains(all, *p.Module) {
			all = append(all, *p.Module)
		}
	}
	slices.SortFunc(all, func(a, b module) int { return strings.Compare(a.Path, b.Path) })
	return all, nil
}

// textsOf are the texts of a module's licences and notices.
func textsOf(m module) ([]string, error) {
	var out []string
	for _, pattern := range []string{"LICEN[CS]E*", "COPYING*", "NOTICE*"} {
		files, err := filepath.Glob(filepath.Join(m.Dir, pattern))
		if err != nil {
			return nil, err
		}
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				return nil, err
			}
			out = append(out, string(text))
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s has no licence text", m.Path)
	}
	return out, nil
}
