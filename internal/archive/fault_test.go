package archive_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"steadfall/internal/archive"
)

// openIn names the archive that this program opens and writes to when it is run as a
// child, as somebody who may not.
const openIn = "STEADFALL_TEST_OPEN"

func TestMain(m *testing.M) {
	if dir := os.Getenv(openIn); dir != "" {
		a, err := archive.Open(context.Background(), dir)
		if err == nil {
			_, err = a.Put(context.Background(), archive.Athlete{Code: "Dogwood"})
		}
		fmt.Println(err)
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func TestReadOnlyFolder(t *testing.T) {
	a, dir, s := newArchive(t, ash)
	add(t, a, landing(t, 14), "Ash", s, 1)
	a.Close()
	for p := dir; p != "/" && strings.Contains(p, "TestReadOnly"); p = filepath.Dir(p) { // let others look in
		if err := os.Chmod(p, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	readOnly := func(mode os.FileMode, fileMode os.FileMode) {
		for _, p := range []string{dir, filepath.Join(dir, "clips"), filepath.Join(dir, "pictures")} {
			if err := os.Chmod(p, mode); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.Chmod(filepath.Join(dir, "squad.db"), fileMode); err != nil {
			t.Fatal(err)
		}
	}
	readOnly(0o555, 0o444)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	if os.Getuid() == 0 { // whom no permission stops
		copied := filepath.Join(t.TempDir(), "child")
		for p := filepath.Dir(copied); strings.Contains(p, "TestReadOnly"); p = filepath.Dir(p) {
			if err := os.Chmod(p, 0o755); err != nil {
				t.Fatal(err)
			}
		}
		data, err := os.ReadFile(self)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(copied, data, 0o755); err != nil {
			t.Fatal(err)
		}
		cmd = exec.Command(copied)
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	cmd.Dir = "/"
	cmd.Env = append(os.Environ(), openIn+"="+dir)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatal(err, string(out))
	}
	if !strings.Contains(string(out), "may not be written to; check the folder's permissions") || strings.Count(string(out), "\n") != 1 {
		t.Errorf("a read-only folder: %s", out)
	}
	readOnly(0o755, 0o644)
	stillSound(t, dir, 1)
}

// A disk that is really full: a small file system in memory.
func TestFullDisk(t *testing.T) {
	small := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", small).CombinedOutput(); err != nil {
		t.Skipf("no file system can be mounted here: %s", out)
	}
	defer func() {
		if err := syscall.Unmount(small, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	}()
	ctx := context.Background()
	dir := filepath.Join(small, "squad")
	a, err := archive.Create(ctx, dir, archive.Squad{Name: "Larkfield Lanterns"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.Put(ctx, ash); err != nil {
		t.Fatal(err)
	}
	s, err := a.EnsureSession(ctx, archive.Session{Date: "2026-09-01"})
	if err != nil {
		t.Fatal(err)
	}
	r := landing(t, 14)
	r.Trial.Athlete, r.Trial.Session = "Ash", s
	kept := 0
	for ; err == nil; kept++ {
		r.Trial.Number = kept + 1
		r.Pictures = []archive.Picture{{View: "front", Moment: "contact", Data: fmt.Appendf(nil, "%d", kept)}}
		_, err = a.Add(ctx, r)
	}
	kept-- // the last one failed
	if !strings.Contains(err.Error(), "is the disk full?") || kept < 1 {
		t.Errorf("after %d trials: %v", kept, err)
	}
	if err := a.Backup(ctx, filepath.Join(small, "backup.zip"), nil); err == nil || !strings.Contains(err.Error(), "is the disk full?") {
		t.Errorf("a backup onto a full disk: %v", err)
	}
	a.Close()
	stillSound(t, dir, kept)
}

func stillSound(t *testing.T, dir string, trials int) {
	t.Helper()
	ctx := context.Background()
	a, err := archive.Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	c, err := a.Check(ctx, nil)
	if err != nil || len(c.Problems) > 0 || c.Trials != trials {
		t.Errorf("%+v, %v; want %d trials and no problem", c, err, trials)
	}
}
