package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// program is this test program as a program called steadfall, which it then is.
func program(t *testing.T) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(filepath.Dir(self), "steadfall")
	if err := os.Link(self, name); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Remove(name) })
	return name
}

// childOf is the process that another one started, 0 for none.
func childOf(pid int) (child int) {
	stats, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, f := range stats {
		text, err := os.ReadFile(f)
		if err != nil {
			continue // it has ended
		}
		var parent int
		_, rest, _ := strings.Cut(string(text), ") ")
		if _, err := fmt.Sscanf(rest, "%1s %d", new(string), &parent); err == nil && parent == pid {
			_, _ = fmt.Sscan(string(text), &child)
		}
	}
	return child
}

// A clip that breaks what reads it ends the command in a plain sentence: it is read in a child
// process, which here is ended as a crash would end it. A command that is interrupted ends its
// child.
func TestClipsAreReadInAChild(t *testing.T) {
	steadfall := program(t)
	clip, err := filepath.Abs("../../testdata/clips/two_foot_steady_front.mp4")
	if err != nil {
		t.Fatal(err)
	}
	roster := t.TempDir()
	if err := os.Symlink(clip, filepath.Join(roster, "Ash_drop-landing_1_front.mp4")); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	archive := filepath.Join(dir, "squad")
	for _, args := range [][]string{
		{"archive", "create", "--archive", archive, "--squad", "Lanterns"},
		{"athlete", "add", "Ash", "--archive", archive, "--consent-by", "the athlete", "--consent-on", "2026-08-01"},
	} {
		if out, err := exec.Command(steadfall, args...).CombinedOutput(); err != nil {
			t.Fatalf("%s: %s", args, out)
		}
	}
	for _, args := range [][]string{
		{"score", "--front", clip, "-o", "report.html"},
		{"track", clip, "-o", "track.csv"},
		{"inspect", clip},
		{"session", "import", roster, "--archive", archive, "--date", "2026-09-01"},
	} {
		for how, want := range map[syscall.Signal]string{syscall.SIGSEGV: "the clip broke the reading of it: the file is damaged", syscall.SIGINT: "interrupted"} {
			t.Run(args[0]+" "+how.String(), func(t *testing.T) {
				moans, moan := io.Pipe()
				cmd := exec.Command(steadfall, args...)
				cmd.Dir, cmd.Stdout, cmd.Stderr = dir, moan, moan
				if err := cmd.Start(); err != nil {
					t.Fatal(err)
				}
				var said []string
				child := 0
				ended := make(chan error, 1)
				go func() { err := cmd.Wait(); moan.Close(); ended <- err }()
				for lines := bufio.NewScanner(moans); lines.Scan(); said = append(said, lines.Text()) {
					if len(said) > 0 || !strings.HasSuffix(lines.Text(), "%") {
						continue
					}
					if child = childOf(cmd.Process.Pid); child == 0 {
						_ = cmd.Process.Kill()
						t.Error("there is no child")
						continue
					}
					to := child
					if how == syscall.SIGINT {
						to = cmd.Process.Pid
					}
					if err := syscall.Kill(to, how); err != nil {
						t.Error(err)
					}
				}
				err := <-ended
				all := strings.Join(said, "\n")
				if cmd.ProcessState.ExitCode() != 1 || !strings.Contains(all, want) || strings.Contains(all, "goroutine") {
					t.Errorf("%v:\n%s", err, all)
				}
				if child != 0 && syscall.Kill(child, 0) == nil {
					t.Errorf("its child %d lives on", child)
				}
				if left, err := filepath.Glob(filepath.Join(dir, "[rt]*")); err != nil || len(left) > 0 {
					t.Errorf("%v is left, %v", left, err)
				}
			})
		}
	}
}
