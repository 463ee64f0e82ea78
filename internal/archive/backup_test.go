package archive_test

import (
	"archive/zip"
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"steadfall/internal/archive"
)

// One damaged picture and one that is missing are said, and the rest is backed up and comes
// back.
func TestDamagedPictureBlocksNoBackup(t *testing.T) {
	ctx := context.Background()
	a, dir, s := filmed(t)
	addFilmed(t, a, s, 2, "a second clip")
	addFilmed(t, a, s, 3, "a third clip")
	pictures, err := filepath.Glob(filepath.Join(dir, "pictures", "*"))
	if err != nil || len(pictures) != 3 {
		t.Fatal(pictures, err)
	}
	write(t, pictures[0], []byte("other"))
	if err := os.Remove(pictures[1]); err != nil {
		t.Fatal(err)
	}
	to := t.TempDir()
	lost, err := a.Backup(ctx, filepath.Join(to, "b.zip"), nil)
	said := strings.Join(lost, "\n")
	if err != nil || len(lost) != 2 || !strings.Contains(said, filepath.Base(pictures[0])+" is not what it was") || !strings.Contains(said, filepath.Base(pictures[1])+" is missing") {
		t.Errorf("backed up: %q, %v", lost, err)
	}
	back := filepath.Join(to, "back")
	lost, err = archive.Restore(ctx, filepath.Join(to, "b.zip"), back)
	if err != nil || len(lost) != 2 {
		t.Errorf("restored: %q, %v", lost, err)
	}
	if got := held(t, back); len(got) != 5 {
		t.Errorf("came back: %v", got)
	}
	if got := string(read(t, filepath.Join(back, "pictures", filepath.Base(pictures[0])))); got != "other" {
		t.Errorf("the damaged picture came back as %q", got)
	}
}

// A picture that is gone is named in an athlete's export, and the rest of it is there.
func TestExportNamesWhatIsLost(t *testing.T) {
	a, dir, s := filmed(t)
	addFilmed(t, a, s, 2, "a second clip")
	pictures, err := filepath.Glob(filepath.Join(dir, "pictures", "*"))
	if err != nil || len(pictures) != 2 {
		t.Fatal(pictures, err)
	}
	if err := os.Remove(pictures[0]); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "ash.zip")
	missing, err := a.ExportAthlete(t.Context(), "Ash", out)
	if err != nil || len(missing) != 1 || !strings.HasPrefix(missing[0], "pictures/") {
		t.Fatalf("missing %q, %v", missing, err)
	}
	z, err := zip.OpenReader(out)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	n := 0
	for _, f := range z.File {
		if strings.HasPrefix(f.Name, "pictures/") || strings.HasPrefix(f.Name, "clips/") {
			n++
		}
	}
	if n != 3 {
		t.Errorf("%d clips and pictures are in it, not 3", n)
	}
}

// A picture that was damaged in the backup itself is left out and named.
func TestDamagedBackupGivesTheRest(t *testing.T) {
	ctx := context.Background()
	a, _, s := filmed(t)
	addFilmed(t, a, s, 2, "a second clip")
	to := t.TempDir()
	if _, err := a.Backup(ctx, filepath.Join(to, "b.zip"), nil); err != nil {
		t.Fatal(err)
	}
	// Clips are stored as they are, so that one can be found and spoilt.
	data := read(t, filepath.Join(to, "b.zip"))
	write(t, filepath.Join(to, "bad.zip"), bytes.Replace(data, []byte("a second clip"), []byte("a secont clip"), 1))
	back := filepath.Join(to, "back")
	lost, err := archive.Restore(ctx, filepath.Join(to, "bad.zip"), back)
	if err != nil || len(lost) != 1 || !strings.Contains(lost[0], "is missing") {
		t.Errorf("restored: %q, %v", lost, err)
	}
	if got := held(t, back); len(got) != 3 {
		t.Errorf("came back: %v", got)
	}
}

// What a killed backup or restore leaves is gone after the next one, and so is its note; the
// folder of one that is at work stays.
func TestKilledBackupLeavesNothing(t *testing.T) {
	ctx := context.Background()
	a, dir, _ := filmed(t)
	to := t.TempDir()
	for _, left := range []string{".steadfall-backup-1", ".steadfall-restore-2", ".steadfall-backup-3"} {
		if err := os.MkdirAll(filepath.Join(to, left, "clips"), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	working := exec.Command("flock", filepath.Join(to, ".steadfall-backup-3"), "sh", "-c", "echo locked; read line")
	in, err := working.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := working.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := working.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := out.Read(make([]byte, 1)); err != nil { // it has the lock
		t.Fatal(err)
	}
	if _, err := a.Backup(ctx, filepath.Join(to, "b.zip"), nil); err != nil {
		t.Fatal(err)
	}
	if got := names(t, to); got != ".steadfall-backup-3 b.zip" {
		t.Errorf("beside one at work: %s", got)
	}
	in.Close()
	_ = working.Wait() // its lock is gone, whatever it says
	if _, err := archive.Restore(ctx, filepath.Join(to, "b.zip"), filepath.Join(to, "back")); err != nil {
		t.Fatal(err)
	}
	if got := names(t, to); got != "b.zip back" {
		t.Errorf("after it: %s", got)
	}
	d, err := a.Delete(ctx, "Ash")
	if err != nil || len(d.Backups) != 1 || len(held(t, dir)) != 0 {
		t.Errorf("deleted: %+v, %v", d, err)
	}
}

func names(t *testing.T, dir string) string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return strings.Join(out, " ")
}
