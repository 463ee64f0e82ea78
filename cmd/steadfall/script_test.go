package main

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"steadfall/internal/models"
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
