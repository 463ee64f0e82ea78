package archive_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"steadfall/internal/archive"
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

// checkedBeside checks an archive, as a process of its own would, again and again while work is
// at it, and once more after it. No check may find a problem.
func checkedBeside(t *testing.T, dir string, work func() error) archive.Checked {
	t.Helper()
	b, err := archive.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	done := make(chan error, 1)
	go func() { done <- work() }()
	for {
		var end bool
		select {
		case err := <-done:
			if err != nil {
				t.Fatal(err)
			}
			end = true
		default:
		}
		c, err := b.Check(t.Context(), nil)
		if err != nil || len(c.Problems) > 0 {
			t.Fatalf("problems %q, %v", c.Problems, err)
		}
		if end {
			return c
		}
	}
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
	c := checkedBeside(t, dir, func() error {
		for _, id := range ids {
			if _, err := a.DeleteTrial(t.Context(), id); err != nil {
				return err
			}
		}
		return nil
	})
	if c.Files != 0 || len(c.LeftOver) > 0 {
		t.Errorf("%d files, left over %q", c.Files, c.LeftOver)
	}
}
