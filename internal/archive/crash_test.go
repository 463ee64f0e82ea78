package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"steadfall/internal/safefile"
)

// copyOf copies an archive's files as they are at this moment, which is what a power cut
// leaves.
func copyOf(t *testing.T, dir string) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "squad")
	if err := os.CopyFS(to, os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(to, database+"-shm")); err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err) // shared memory does not outlive its machine
	}
	return to
}

// The power is cut just before each migration is committed, with its pages already in the
// log: the archive opens, has all its tables and its people.
func TestInterruptedMigration(t *testing.T) {
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "squad")
	oldArchive(t, dir)
	for v := 2; v <= newest(); v++ {
		db, err := connect(dir, false)
		if err != nil {
			t.Fatal(err)
		}
		a := &Archive{dir: dir, db: db}
		var cut string
		err = a.write(ctx, func(tx *sql.Tx) error {
			if _, err := tx.ExecContext(ctx, "PRAGMA cache_size = 1; PRAGMA cache_spill = 1"); err != nil {
				return err
			}
			if err := step(ctx, tx, v); err != nil {
				return err
			}
			cut = copyOf(t, dir)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		a.Close()
		whole(t, cut, 1)
	}
	whole(t, dir, 1)
}

// The power is cut when a clip is written and its row is not: the next opening wipes the clip,
// and what was half-written beside it. Where nothing is cut off, it stays.
func TestInterruptedAddition(t *testing.T) {
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "squad")
	a, err := Create(ctx, dir, Squad{Name: "Larkfield Lanterns"})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	name := clips + "/clip.mp4"
	clip := newFile{name, func(to string) error { return safefile.Write(to, []byte("a clip")) }}
	var cut string
	err = a.change(ctx, []newFile{clip}, func(*sql.Tx) error {
		cut = copyOf(t, dir)
		return os.WriteFile(filepath.Join(cut, clips, safefile.Half+"1"), []byte("half a clip"), 0o600)
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(cut, name)); err != nil {
		t.Fatal("the cut came too early:", err)
	}
	whole(t, cut, 0)
	for where, want := range map[string]int{cut: 0, dir: 1} {
		if left, err := os.ReadDir(filepath.Join(where, clips)); err != nil || len(left) != want {
			t.Errorf("%d clips are left, want %d", len(left), want)
		}
	}
	if n, err := a.unfinished(ctx); err != nil || n != 0 {
		t.Errorf("%d files are still to be wiped, %v", n, err)
	}
}

// A backup that was made in the middle of a deletion, with the rows gone and their traces in the
// database not wiped yet, comes back without anything left to be done.
func TestBackupInTheMiddleOfADeletion(t *testing.T) {
	ctx := t.Context()
	to := t.TempDir()
	a, err := Create(ctx, filepath.Join(to, "squad"), Squad{Name: "Larkfield Lanterns"})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	// Keeping a file gives the folder its mark, as every archive with clips has one.
	clip := newFile{clips + "/clip.mp4", func(to string) error { return safefile.Write(to, []byte("a clip")) }}
	if err := a.change(ctx, []newFile{clip}, func(*sql.Tx) error { return nil }); err != nil {
		t.Fatal(err)
	}
	if _, err := a.db.ExecContext(ctx, "INSERT INTO wipe VALUES (?), (?)", clip.name, freePages); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Backup(ctx, filepath.Join(to, "b.zip"), nil); err != nil {
		t.Fatal(err)
	}
	back := filepath.Join(to, "back")
	if _, err := Restore(ctx, filepath.Join(to, "b.zip"), back); err != nil {
		t.Fatal(err)
	}
	b, err := OpenAsIs(ctx, back)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if c, err := b.Check(ctx, nil); err != nil || c.Pending != 0 {
		t.Errorf("%d left to be wiped, %v", c.Pending, err)
	}
}

// A write-ahead log that was cut off anywhere gives what was whole before it: the archive
// opens, and no athlete is there without those who came before.
func TestTruncatedLog(t *testing.T) {
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "squad")
	a, err := Create(ctx, dir, Squad{Name: "Larkfield Lanterns"})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	const all = 8
	for i := range all {
		if _, err := a.Put(ctx, Athlete{Code: fmt.Sprintf("Ash%d", i)}); err != nil {
			t.Fatal(err)
		}
	}
	cut := copyOf(t, dir)
	log, err := os.ReadFile(filepath.Join(cut, database+"-wal"))
	if err != nil {
		t.Fatal(err)
	}
	before := 0
	for size := 0; size <= len(log); size += 1 + len(log)/97 {
		one := copyOf(t, cut)
		if err := os.Truncate(filepath.Join(one, database+"-wal"), int64(size)); err != nil {
			t.Fatal(err)
		}
		b, err := Open(ctx, one)
		if err != nil {
			t.Fatalf("%d of %d bytes: %v", size, len(log), err)
		}
		people, err := b.Athletes(ctx)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range people {
			if p.Code != fmt.Sprintf("Ash%d", i) {
				t.Errorf("%d of %d bytes: athlete %d is %s", size, len(log), i, p.Code)
			}
		}
		if len(people) < before {
			t.Errorf("%d of %d bytes: %d athletes, fewer than with less of the log (%d)", size, len(log), len(people), before)
		}
		before = len(people)
		if c, err := b.Check(ctx, nil); err != nil || len(c.Problems) > 0 {
			t.Errorf("%d of %d bytes: %v, %v", size, len(log), c.Problems, err)
		}
		b.Close()
	}
	whole(t, cut, all)
}

// whole opens an archive and looks whether it is of the newest version and has its people.
func whole(t *testing.T, dir string, people int) {
	t.Helper()
	ctx := context.Background()
	a, err := Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	var version int
	if err := a.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil || version != newest() {
		t.Errorf("version %d, %v; want %d", version, err, newest())
	}
	if c, err := a.Check(ctx, nil); err != nil || len(c.Problems) > 0 {
		t.Errorf("%v, %v", c.Problems, err)
	}
	if all, err := a.Athletes(ctx); err != nil || len(all) != people {
		t.Errorf("%d athletes, %v; want %d", len(all), err, people)
	}
}
