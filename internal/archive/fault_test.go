package archive_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"steadfall/internal/archive"
	"steadfall/internal/testkit/smalldisk"
)

// asNobody runs this test once more as somebody whom permissions stop, where this is root,
// and reports whether it did.
func asNobody(t *testing.T) bool {
	t.Helper()
	if os.Getuid() != 0 {
		return false
	}
	self, err := os.ReadFile("/proc/self/exe")
	if err != nil {
		t.Fatal(err)
	}
	dir, err := os.MkdirTemp("", "steadfall-nobody-") // t.TempDir is closed to others
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	copied := filepath.Join(dir, "test")
	if err := errors.Join(os.Chmod(dir, 0o755), os.WriteFile(copied, self, 0o755)); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(copied, "-test.v", "-test.run=^"+t.Name()+"$")
	cmd.Dir = "/"
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	if out, err := cmd.CombinedOutput(); err != nil || !strings.Contains(string(out), "--- PASS: "+t.Name()) {
		t.Errorf("as nobody: %v\n%s", err, out)
	}
	return true
}

// permit changes who may write into an archive's folders and to its database.
func permit(t *testing.T, dir string, folders, file os.FileMode) {
	t.Helper()
	for _, p := range []string{dir, filepath.Join(dir, "clips"), filepath.Join(dir, "pictures")} {
		if err := os.Chmod(p, folders); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(filepath.Join(dir, "squad.db"), file); err != nil {
		t.Fatal(err)
	}
}

func TestReadOnlyFolder(t *testing.T) {
	if asNobody(t) {
		return
	}
	a, dir, s := newArchive(t, ash)
	add(t, a, landing(t, 14), "Ash", s, 1)
	a.Close()
	permit(t, dir, 0o555, 0o444)
	defer permit(t, dir, 0o755, 0o644) // or it could not be cleared away
	b, err := archive.Open(context.Background(), dir)
	if err == nil {
		_, err = b.Put(context.Background(), archive.Athlete{Code: "Dogwood"})
		b.Close()
	}
	if err == nil || !strings.Contains(err.Error(), "may not be written to; check the folder's permissions") || strings.Contains(err.Error(), "\n") {
		t.Errorf("a read-only folder: %v", err)
	}
	permit(t, dir, 0o755, 0o644)
	stillSound(t, dir, 1)
}

// The right to write goes while the archive is open: the trial is refused in a sentence,
// nothing of it is kept, and it is kept when the right is back.
func TestPermissionLostMidWrite(t *testing.T) {
	if asNobody(t) {
		return
	}
	a, dir, s := newArchive(t, ash)
	add(t, a, landing(t, 14), "Ash", s, 1)
	r := landing(t, 15)
	r.Trial.Athlete, r.Trial.Session, r.Trial.Number = "Ash", s, 2
	r.Pictures = []archive.Picture{{View: "front", Moment: "contact", Data: []byte("not seen before")}}
	permit(t, dir, 0o555, 0o444)
	defer permit(t, dir, 0o755, 0o644)
	if _, err := a.Add(context.Background(), r); err == nil || !strings.Contains(err.Error(), "check that it exists and may be written to") || strings.Contains(err.Error(), "\n") {
		t.Errorf("without the right to write: %v", err)
	}
	permit(t, dir, 0o755, 0o644)
	stillSound(t, dir, 1)
	if _, err := a.Add(context.Background(), r); err != nil {
		t.Error(err)
	}
	stillSound(t, dir, 2)
}

// A disk that is really full: a small file system in memory.
func TestFullDisk(t *testing.T) {
	small := smalldisk.Mount(t, "2m")
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
	if !strings.Contains(err.Error(), "the disk is full") || kept < 1 {
		t.Errorf("after %d trials: %v", kept, err)
	}
	if _, err := a.Backup(ctx, filepath.Join(small, "backup.zip"), nil); err == nil || !strings.Contains(err.Error(), "the disk is full") {
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
