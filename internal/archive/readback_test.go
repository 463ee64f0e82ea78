package archive

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A backup that is not on the disk as it was written is found when it is read back.
func TestBackupIsReadBack(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	name := filepath.Join(dir, "b.zip")
	files := []entry{content("clips/one.mp4", []byte("a clip that is stored")), content("squad.db", []byte("rows"))}
	hashes, err := writeZip(ctx, name, files, func(no *unreadable) error { return no }, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := readBack(ctx, name, hashes); err != nil {
		t.Error(err)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for what, spoilt := range map[string][]byte{
		"a flipped bit": bytes.Replace(data, []byte("that is stored"), []byte("that is stoned"), 1),
		"cut off":       data[:len(data)/2],
	} {
		if err := os.WriteFile(name, spoilt, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := readBack(ctx, name, hashes); err == nil || !strings.Contains(err.Error(), "does not read back") {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// The note of a backup that was killed is gone when somebody asks who is in which.
func TestKilledBackupIsNotNoted(t *testing.T) {
	ctx := context.Background()
	a, err := Create(ctx, filepath.Join(t.TempDir(), "squad"), Squad{Name: "Larkfield Lanterns"})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	if _, err := a.Put(ctx, Athlete{Code: "Ash"}); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	made := filepath.Join(dir, "made.zip")
	if err := os.WriteFile(made, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{made, filepath.Join(dir, "killed.zip")} { // after and before it was moved into place
		if _, err := a.noteBackup(ctx, name); err != nil {
			t.Fatal(err)
		}
	}
	d, err := a.Delete(ctx, "Ash")
	if err != nil || len(d.Backups) != 1 || d.Backups[0].File != made {
		t.Errorf("%+v, %v", d, err)
	}
}
