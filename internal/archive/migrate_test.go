package archive

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// An archive of version 1 with people in it opens under every later version and keeps
// them; one of a later version than this program knows is refused.
func TestMigrationsRunForward(t *testing.T) {
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "squad")
	oldArchive(t, dir)
	a, err := Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	var version int
	if err := a.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil || version != newest() {
		t.Errorf("version %d, %v; want %d", version, err, newest())
	}
	if all, err := a.Athletes(ctx); err != nil || len(all) != 1 {
		t.Errorf("%v, %v", all, err)
	}
	if _, err := a.db.ExecContext(ctx, "SELECT * FROM rating"); err != nil {
		t.Error(err)
	}
	if _, err := a.db.ExecContext(ctx, "PRAGMA user_version = 99"); err != nil {
		t.Fatal(err)
	}
	a.Close()
	if _, err := Open(ctx, dir); err == nil || !strings.Contains(err.Error(), "newer steadfall") {
		t.Errorf("an archive from the future: %v", err)
	}
}

// oldArchive makes an archive of version 1 with one athlete in it.
func oldArchive(t *testing.T, dir string) {
	t.Helper()
	ctx := context.Background()
	a, err := Create(ctx, dir, Squad{Name: "Larkfield Lanterns"})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	if _, err := a.db.ExecContext(ctx, "DROP TABLE todo; DROP TABLE rating; DROP TABLE login; DROP TABLE staff; DROP TABLE share; DROP TABLE audit; DROP TABLE override; DROP TABLE signed; DROP TABLE take_file; DROP TABLE take_trial; DROP TABLE take; DROP TABLE placement; DROP TABLE again; DROP TABLE mark; DROP TABLE pain_over; ALTER TABLE backup DROP COLUMN whole; PRAGMA user_version = 1"); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Put(ctx, Athlete{Code: "Ash"}); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, markFile)); err != nil {
		t.Fatal(err)
	}
}
