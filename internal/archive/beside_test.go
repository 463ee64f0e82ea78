package archive_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"steadfall/internal/archive"
	"steadfall/internal/rescore"
	"steadfall/scoring"
)

const besideTrials = 15

// recordings are trials with a clip of their own each.
func recordings(t *testing.T, session archive.Session) []archive.Recording {
	t.Helper()
	all := make([]archive.Recording, besideTrials)
	for i := range all {
		clip := filepath.Join(t.TempDir(), "clip.mp4")
		if err := os.WriteFile(clip, fmt.Appendf(nil, "clip %d", i), 0o600); err != nil {
			t.Fatal(err)
		}
		r := landing(t, 14)
		var err error
		if r.Views[0].Hash, err = archive.HashFile(t.Context(), clip); err != nil {
			t.Fatal(err)
		}
		r.Views[0].Clip = clip
		r.Trial.Athlete, r.Trial.Session, r.Trial.Number = "Ash", session, i+1
		all[i] = r
	}
	return all
}

// deleting is the work of deleting trials one by one.
func deleting(t *testing.T, a *archive.Archive, ids []int64) func() error {
	return func() error {
		for _, id := range ids {
			if _, err := a.DeleteTrial(t.Context(), id); err != nil {
				return err
			}
		}
		return nil
	}
}

// beside does something again and again while work is at an archive, and once more after it, with
// the archive opened once more, as by a process of its own.
func beside(t *testing.T, dir string, work func() error, again func(b *archive.Archive)) {
	t.Helper()
	b, err := archive.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	done := make(chan error, 1)
	go func() { done <- work() }()
	for end := false; !end; {
		select {
		case err := <-done:
			if err != nil {
				t.Fatal(err)
			}
			end = true
		default:
		}
		again(b)
	}
}

// checkedBeside checks an archive beside work. No check may find a problem.
func checkedBeside(t *testing.T, dir string, work func() error) (last archive.Checked) {
	t.Helper()
	beside(t, dir, work, func(b *archive.Archive) {
		var err error
		if last, err = b.Check(t.Context(), nil); err != nil || len(last.Problems) > 0 {
			t.Fatalf("problems %q, %v", last.Problems, err)
		}
	})
	return last
}

// Checking while trials come in takes none of their fresh clips.
func TestCheckBesideAnImport(t *testing.T) {
	a, dir, s := newArchive(t, ash)
	all := recordings(t, s)
	c := checkedBeside(t, dir, func() error {
		_, err := a.Add(t.Context(), all...)
		return err
	})
	if c.Files != besideTrials || len(c.LeftOver) > 0 {
		t.Errorf("%d files, left over %q", c.Files, c.LeftOver)
	}
}

// What is deleted while it is looked at has nothing wrong with it.
func TestCheckBesideDeletions(t *testing.T) {
	a, dir, s := newArchive(t, ash)
	ids, err := a.Add(t.Context(), recordings(t, s)...)
	if err != nil {
		t.Fatal(err)
	}
	c := checkedBeside(t, dir, deleting(t, a, ids))
	if c.Files != 0 || len(c.LeftOver) > 0 {
		t.Errorf("%d files, left over %q", c.Files, c.LeftOver)
	}
}

// A backup that is made while somebody deletes holds every file of every trial in it.
func TestBackupBesideDeletions(t *testing.T) {
	a, dir, s := newArchive(t, ash)
	ids, err := a.Add(t.Context(), recordings(t, s)...)
	if err != nil {
		t.Fatal(err)
	}
	to := t.TempDir()
	n := 0
	beside(t, dir, deleting(t, a, ids), func(b *archive.Archive) {
		n++
		zip, back := filepath.Join(to, fmt.Sprint(n, ".zip")), filepath.Join(to, fmt.Sprint(n))
		if lost, err := b.Backup(t.Context(), zip, nil); err != nil || len(lost) > 0 {
			t.Fatalf("backup %d: %q, %v", n, lost, err)
		}
		if lost, err := archive.Restore(t.Context(), zip, back); err != nil || len(lost) > 0 {
			t.Fatalf("restore %d: %q, %v", n, lost, err)
		}
	})
}

// What is deleted while all are scored anew is left out.
func TestRescoreBesideDeletions(t *testing.T) {
	a, dir, s := newArchive(t, ash)
	ids, err := a.Add(t.Context(), recordings(t, s)...)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	beside(t, dir, deleting(t, a, ids), func(b *archive.Archive) {
		n++
		pick := func(int) (scoring.Checklist, error) {
			list, err := scoring.Load("padua-2009")
			list.Title = fmt.Sprint("the ", n, "th time") // scored so by nobody yet
			return list, err
		}
		if _, err := rescore.All(t.Context(), b, pick, "steadfall test", nil); err != nil {
			t.Fatal(err)
		}
	})
}
