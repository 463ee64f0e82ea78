package beside_test

import (
	"bytes"
	"debug/elf"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"steadfall/internal/beside"
	"steadfall/internal/simulated"
	"steadfall/internal/testkit/desktest"
	"steadfall/kinematics"
)

// programs are the two as make build makes them, and the first alone in a folder.
type programs struct{ both, clips, alone string }

func built(t *testing.T) programs {
	t.Helper()
	both, err := desktest.Build(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	p := programs{both: both, clips: filepath.Join(filepath.Dir(both), beside.Name), alone: filepath.Join(t.TempDir(), "steadfall")}
	data, err := os.ReadFile(both)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(p.alone, data, 0o755); err != nil {
		t.Fatal(err)
	}
	return p
}

// said is what a program answers, run in a folder of its own.
type said struct {
	out, moan string
	status    int
	left      []string // files it left behind
}

func run(t *testing.T, program string, args ...string) said {
	t.Helper()
	cmd := exec.Command(program, args...)
	cmd.Dir = t.TempDir()
	var out, moan bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &moan
	var exit *exec.ExitError
	if err := cmd.Run(); err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	s := said{out: out.String(), moan: moan.String(), status: cmd.ProcessState.ExitCode()}
	left, err := os.ReadDir(cmd.Dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range left {
		s.left = append(s.left, f.Name())
	}
	return s
}

func TestTwoPrograms(t *testing.T) {
	p := built(t)
	clip, err := filepath.Abs("../../testdata/clips/two_foot_knee_in_side.mp4")
	if err != nil {
		t.Fatal(err)
	}
	track := filepath.Join(t.TempDir(), "front.csv")
	landing := simulated.Landing{View: kinematics.Front, FPS: 60, StatureCM: 172, PxPerCM: 5, BoxCM: 30, DepthCM: 20, HoldS: 3, SD: 1.5}
	of, _ := landing.Track()
	var b bytes.Buffer
	if err := kinematics.WriteTrack(&b, of); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(track, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	score := []string{"score", "--front-track", track, "--athlete-height-cm", "172", "--json", "-"}

	t.Run("the first loads no library", func(t *testing.T) {
		f, err := elf.Open(p.both)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if libs, err := f.ImportedLibraries(); err != nil || len(libs) > 0 {
			t.Errorf("it loads %v (%v)", libs, err)
		}
		g, err := elf.Open(p.clips)
		if err != nil {
			t.Fatal(err)
		}
		defer g.Close()
		libs, err := g.ImportedLibraries()
		if err != nil || !slices.ContainsFunc(libs, func(l string) bool { return strings.HasPrefix(l, "libopencv_videoio.") }) {
			t.Errorf("the second loads %v (%v), which reads no clips", libs, err)
		}
	})
	t.Run("a track is scored by the first alone, to the same bytes", func(t *testing.T) {
		one, other := run(t, p.alone, score...), run(t, p.clips, score...)
		if one.status != 0 || one.out == "" || one.out != other.out {
			t.Errorf("status %d, %d bytes against %d: %s", one.status, len(one.out), len(other.out), one.moan)
		}
	})
	t.Run("clips are read, through a link too", func(t *testing.T) {
		link := filepath.Join(t.TempDir(), "anything")
		if err := os.Symlink(p.both, link); err != nil {
			t.Fatal(err)
		}
		want := run(t, p.clips, "inspect", clip, "--json")
		if want.status != 0 {
			t.Fatal(want.moan)
		}
		for _, program := range []string{p.both, link} {
			if got := run(t, program, "inspect", clip, "--json"); got.status != 0 || got.out != want.out {
				t.Errorf("%s: status %d: %s", program, got.status, got.moan)
			}
		}
	})
	t.Run("alone it says what is missing before it does anything", func(t *testing.T) {
		for _, args := range [][]string{
			{"inspect", clip},
			{"track", clip, "-o", "t.csv"},
			{"score", "--side", clip, "--json", "r.json"},
			{"score", "--front", clip, "--front-track", track, "-o", "r.html"},
			{"session", "import", ".", "--date", "2026-09-01"},
			{"serve", "--listen", "127.0.0.1:0"},
			{"demo"},
			{"worker"},
		} {
			got := run(t, p.alone, args...)
			if got.status != 1 || strings.Count(got.moan, "\n") != 1 || !strings.Contains(got.moan, "install both again") || got.out != "" || len(got.left) > 0 {
				t.Errorf("%v: status %d, left %v: %s%s", args, got.status, got.left, got.out, got.moan)
			}
		}
	})
}
