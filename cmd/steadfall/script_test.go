package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"steadfall/internal/models"
	"steadfall/internal/simulated"
	"steadfall/kinematics"
)

var update = flag.Bool("update", false, "rewrite the expected output in the scripts")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"steadfall": main})
}

// Every behaviour of the command line that people meet, one script each.
func TestScripts(t *testing.T) {
	clips, err := filepath.Abs("../../testdata/clips")
	if err != nil {
		t.Fatal(err)
	}
	points, err := filepath.Abs("../../testdata/placements")
	if err != nil {
		t.Fatal(err)
	}
	nets, err := models.Folder() // scripts have no home
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       *update,
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"simulate": simulate,
			"answer":   answer,
		},
		Setup: func(e *testscript.Env) error {
			e.Setenv("CLIPS", clips)
			e.Setenv("POINTS", points)
			e.Setenv("STEADFALL_NETS", nets)
			e.Setenv("H264", "-c:v libx264 -preset veryfast -crf 20 -pix_fmt yuv420p")
			e.Setenv("PATH", os.Getenv("PATH")+string(os.PathListSeparator)+e.Getenv("PATH"))
			return nil
		},
	})
}

// simulate writes the track of a simulated two-foot landing from the front whose knees come
// in by so many degrees: simulate FILE DEGREES.
func simulate(ts *testscript.TestScript, _ bool, args []string) {
	deg, err := strconv.ParseFloat(args[1], 64)
	ts.Check(err)
	l := simulated.Landing{
		View: kinematics.Front, FPS: 60, StatureCM: 172, PxPerCM: 5, BoxCM: 30, DepthCM: 20, HoldS: 3.5, SD: 1.5,
		FPPADeg: map[kinematics.Side]float64{kinematics.Left: deg, kinematics.Right: deg},
	}
	track, _ := l.Track()
	var b bytes.Buffer
	ts.Check(kinematics.WriteTrack(&b, track))
	name := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(filepath.Dir(name), 0o755))
	ts.Check(os.WriteFile(name, b.Bytes(), 0o644))
}

// answer fills in a raters' sheet with one answer everywhere: answer SHEET OUT WORD.
func answer(ts *testscript.TestScript, _ bool, args []string) {
	data := ts.ReadFile(args[0])
	lines := strings.Split(strings.TrimSpace(data), "\n")
	for i := range lines[1:] {
		lines[i+1] += args[2]
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(strings.Join(lines, "\n")), 0o644))
}
