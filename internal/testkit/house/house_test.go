// Package house guards how the project is built: which package may import which.
package house

import (
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// deps are all packages that a package of the project leads to.
func deps(t *testing.T, pkg string) []string {
	t.Helper()
	out, err := exec.Command("go", "list", "-deps", pkg).Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Fields(string(out))
}

// Data flows one way, clip to page, and imports run the same way and never back.
func TestImportDirections(t *testing.T) {
	const gocv, echarts = "gocv.io/x/gocv", "github.com/go-echarts/go-echarts/v2/charts"
	for _, c := range []struct {
		pkg       string
		forbidden []string
	}{
		{"steadfall/kinematics", []string{gocv, echarts, "os/exec", "steadfall/scoring", "steadfall/video", "steadfall/report"}},
		{"steadfall/scoring", []string{gocv, echarts, "steadfall/video", "steadfall/report"}},
		{"steadfall/report/...", []string{gocv, "steadfall/video"}},
		{"steadfall/report", []string{echarts}},
		{"steadfall/report/locale", []string{echarts}},
		{"steadfall/video", []string{echarts, "steadfall/report", "steadfall/scoring"}},
		{"steadfall/internal/simulated", []string{gocv, "steadfall/video"}},
		{"steadfall/internal/present", []string{gocv, "steadfall/video", "steadfall/internal/desk"}},
		{"steadfall/internal/archive", []string{gocv, echarts, "steadfall/video", "steadfall/report", "steadfall/internal/pipeline", "steadfall/internal/intake", "steadfall/internal/standing", "steadfall/internal/rescore"}},
		{"steadfall/internal/standing", []string{gocv, echarts, "steadfall/video", "steadfall/report"}},
	} {
		have := deps(t, c.pkg)
		for _, f := range c.forbidden {
			if slices.ContainsFunc(have, func(pkg string) bool { return pkg == f || strings.HasPrefix(pkg, f+"/") }) {
				t.Errorf("%s leads to %s", c.pkg, f)
			}
		}
	}
	for _, pkg := range deps(t, "steadfall/kinematics") {
		if strings.Contains(pkg, ".") && !strings.HasPrefix(pkg, "gonum.org/") && !strings.HasPrefix(pkg, "vendor/") {
			t.Errorf("kinematics is the leaf and imports only gonum, but leads to %s", pkg)
		}
	}
}

// knowOpenCV are the packages that may import it: the rooms of video that look at pictures or draw.
var knowOpenCV = []string{"steadfall/video/mat", "steadfall/video/flow", "steadfall/video/pose", "steadfall/video/draw"}

// Only those rooms import OpenCV, only video/pose ONNX Runtime, and only report/chart the chart builder.
func TestOneDoorToEachLibrary(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "steadfall/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(out), "\n") {
		words := strings.Fields(line)
		for i, w := range words {
			if i > 0 && w == "gocv.io/x/gocv" && !slices.Contains(knowOpenCV, words[0]) {
				t.Errorf("%s imports OpenCV", words[0])
			}
			if i > 0 && w == "github.com/yalue/onnxruntime_go" && words[0] != "steadfall/video/pose" {
				t.Errorf("%s imports ONNX Runtime", words[0])
			}
			if i > 0 && strings.HasPrefix(w, "github.com/go-echarts/") && words[0] != "steadfall/report/chart" {
				t.Errorf("%s imports the chart builder", words[0])
			}
		}
	}
}

// The rooms of video, and which others each may import: pictures come from clip, only pose and flow
// look at them, and track decides without knowing what a picture is made of.
func TestRoomsOfVideo(t *testing.T) {
	rooms := map[string][]string{
		"plane": nil,
		"clip":  nil,
		"mat":   {"clip"},
		"flow":  {"clip", "mat", "plane"},
		"pose":  {"clip", "mat", "plane"},
		"track": {"flow", "pose", "plane"},
		"draw":  {"clip", "mat", "plane"},
	}
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "steadfall/video/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		words := strings.Fields(line)
		room, ok := strings.CutPrefix(words[0], "steadfall/video/")
		if !ok {
			continue
		}
		may, known := rooms[room]
		if !known {
			t.Errorf("%s is no room that this test knows", room)
		}
		seen++
		for _, w := range words[1:] {
			if o, ok := strings.CutPrefix(w, "steadfall/video"); ok && !slices.Contains(may, strings.TrimPrefix(o, "/")) {
				t.Errorf("%s imports %s", room, w)
			}
		}
	}
	if seen != len(rooms) {
		t.Errorf("%d rooms of %d are there", seen, len(rooms))
	}
}

// What needs no OpenCV builds without cgo: the tracker, and of the other rooms what it asks.
func TestTheTrackerNeedsNoOpenCV(t *testing.T) {
	for _, pkg := range []string{"steadfall/video/track", "steadfall/video"} {
		c := exec.Command("go", "list", "-deps", pkg)
		c.Env = append(os.Environ(), "CGO_ENABLED=0")
		out, err := c.Output()
		if err != nil {
			t.Fatalf("%s: %v", pkg, err)
		}
		if slices.Contains(strings.Fields(string(out)), "gocv.io/x/gocv") {
			t.Errorf("%s leads to OpenCV without cgo", pkg)
		}
		c = exec.Command("go", "build", pkg)
		c.Env = append(os.Environ(), "CGO_ENABLED=0")
		if text, err := c.CombinedOutput(); err != nil {
			t.Errorf("%s: %s", pkg, text)
		}
	}
}

// Only video/clip knows FFmpeg's libraries.
func TestOneDoorToFFmpeg(t *testing.T) {
	out, _ := exec.Command("git", "-C", "../../..", "grep", "-lE", "#include <lib(av|sw)|pkg-config:.* lib(av|sw)", "--", "*.go", "*.c", "*.h").Output() // fails where there is none
	files := strings.Fields(string(out))
	if len(files) == 0 {
		t.Error("nothing includes FFmpeg: the search is wrong")
	}
	for _, f := range files {
		if !strings.HasPrefix(f, "video/clip/") {
			t.Errorf("%s includes FFmpeg's libraries", f)
		}
	}
}

// A published value is cited so that a reader of the project can check it: in docs/sources.md,
// not in a collection that lies elsewhere. The change log tells what once was.
func TestNoSourceOutside(t *testing.T) {
	out, err := exec.Command("git", "-C", "../../..", "grep", "-nwI", "FAC"+"TS", "--", ".", ":!CHANGELOG.md").CombinedOutput()
	if err == nil || len(out) > 0 { // git grep fails, and is silent, where there is none
		t.Errorf("cited from outside the project:\n%s", out)
	}
}

// folderOf is the folder of a package by its name.
func folderOf(pkg string) string {
	for _, room := range []string{"../", "../../tools/", "../../", "../../../"} {
		if _, err := os.Stat(room + pkg); err == nil {
			return room + pkg
		}
	}
	return pkg
}

// Nothing that is installed leads to what is for tests, or for those who build.
func TestNoPropsInTheProduct(t *testing.T) {
	for _, pkg := range deps(t, "steadfall/cmd/steadfall") {
		if strings.HasPrefix(pkg, "steadfall/internal/testkit/") || strings.HasPrefix(pkg, "steadfall/internal/tools/") {
			t.Errorf("the program is built with %s", pkg)
		}
	}
}

// The tables of faults, and of what must not pass, name tests that are there.
func TestTablesOfTests(t *testing.T) {
	faults, err := os.ReadFile("../../../docs/faults.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, head := range []string{"| fault |", "| what | what becomes"} {
		_, table, _ := strings.Cut(string(faults), head)
		table, _, _ = strings.Cut(table, "\n\n")
		named := regexp.MustCompile("`([a-z]+)\\.(Test\\w+)`").FindAllStringSubmatch(table, -1)
		if len(named) < 8 {
			t.Fatalf("the table %q names %d tests", head, len(named))
		}
		for _, n := range named {
			folder := folderOf(n[1])
			if out, err := exec.Command("grep", "-rlq", "^func "+n[2]+"(", folder, "--include=*_test.go").CombinedOutput(); err != nil {
				t.Errorf("%s is not there: %s", n[0], out)
			}
		}
		scripts := regexp.MustCompile("scripts? ((?:`\\w+`(?:, | and )?)+)").FindAllStringSubmatch(table, -1)
		for _, s := range scripts {
			for _, n := range regexp.MustCompile("`(\\w+)`").FindAllStringSubmatch(s[1], -1) {
				if _, err := os.Stat("../../../cmd/steadfall/testdata/script/" + n[1] + ".txt"); err != nil {
					t.Errorf("the script %s is not there", n[1])
				}
			}
		}
	}
}
