package archive_test

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"steadfall/internal/archive"
)

// filmed is an archive of one trial with a clip and a picture.
func filmed(t *testing.T) (a *archive.Archive, dir string, s archive.Session) {
	t.Helper()
	a, dir, s = newArchive(t, ash)
	addFilmed(t, a, s, 1, "a clip")
	return a, dir, s
}

// addFilmed adds a trial with a clip of that content and a picture.
func addFilmed(t *testing.T, a *archive.Archive, s archive.Session, number int, content string) {
	t.Helper()
	clip := filepath.Join(t.TempDir(), "clip.mp4")
	if err := os.WriteFile(clip, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
	r := landing(t, 14)
	hash, err := archive.HashFile(context.Background(), clip)
	if err != nil {
		t.Fatal(err)
	}
	r.Views[0].Hash, r.Views[0].Clip = hash, clip
	r.Pictures = []archive.Picture{{View: "front", Moment: "contact", Data: []byte(content)}}
	add(t, a, r, "Ash", s, number)
}

// held are the clips, pictures and uploads in an archive's folder.
func held(t *testing.T, dir string) (names []string) {
	t.Helper()
	for _, sub := range []string{"clips", "pictures", "incoming"} {
		entries, err := os.ReadDir(filepath.Join(dir, sub))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			names = append(names, sub+"/"+e.Name())
		}
	}
	return names
}

// old makes every file of an archive look two hours old.
func old(t *testing.T, dir string) {
	t.Helper()
	then := time.Now().Add(-2 * time.Hour)
	for _, name := range held(t, dir) {
		if err := os.Chtimes(filepath.Join(dir, name), then, then); err != nil {
			t.Fatal(err)
		}
	}
}

// With a database in its place that does not know the files, they all seem to be nobody's.
// Check says that it is the wrong one, and neither it nor Repair nor opening touches them.
func TestCheckKeepsTheFilesOfAnotherDatabase(t *testing.T) {
	ctx := context.Background()
	for _, c := range []struct {
		name  string
		other func(t *testing.T, dir string) // puts another squad.db in
		want  string
	}{
		{"empty", func(t *testing.T, dir string) { write(t, filepath.Join(dir, "squad.db"), nil) }, "empty or of another program"},
		{"another squad's", func(t *testing.T, dir string) {
			other := filepath.Join(t.TempDir(), "other")
			b, err := archive.Create(ctx, other, archive.Squad{Name: "Elsewhere"})
			if err != nil {
				t.Fatal(err)
			}
			b.Close()
			write(t, filepath.Join(dir, "squad.db"), read(t, filepath.Join(other, "squad.db")))
		}, "is not the one"},
		{"older", nil, "is not the one"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, dir, s := filmed(t)
			a.Close()
			earlier := read(t, filepath.Join(dir, "squad.db"))
			a, err := archive.Open(ctx, dir)
			if err != nil {
				t.Fatal(err)
			}
			addFilmed(t, a, s, 2, "a newer clip")
			a.Close()
			old(t, dir)
			before := held(t, dir)
			if c.other != nil {
				c.other(t, dir)
			} else {
				write(t, filepath.Join(dir, "squad.db"), earlier)
			}
			said := ""
			if b, err := archive.Open(ctx, dir); err != nil {
				said = err.Error()
			} else {
				checked, err := b.Check(ctx, nil)
				said = strings.Join(checked.Problems, "; ")
				if err != nil {
					t.Error(err)
				}
				if r, err := b.Repair(ctx); err == nil || len(r.Moved) > 0 {
					t.Errorf("repaired: %v, %v", r, err)
				}
				b.Close()
			}
			if !strings.Contains(said, c.want) {
				t.Errorf("said %q, want %q", said, c.want)
			}
			if after := held(t, dir); len(after) != len(before) {
				t.Errorf("%d files of %d are left", len(after), len(before))
			}
		})
	}
}

// What belongs to nobody is set aside once it is an hour old, and not before.
func TestRepairSetsAside(t *testing.T) {
	ctx := context.Background()
	a, dir, _ := filmed(t)
	stray := []string{"clips/stray.mp4", "pictures/stray.jpg", "incoming/stray"}
	for _, name := range stray {
		write(t, filepath.Join(dir, name), []byte(name))
	}
	before := held(t, dir)
	r, err := a.Repair(ctx)
	if err != nil || len(r.Moved) != 0 || len(r.Young) != 3 || len(held(t, dir)) != len(before) {
		t.Errorf("young files: %+v, %v", r, err)
	}
	old(t, dir)
	c, err := a.Check(ctx, nil)
	if err != nil || len(c.LeftOver) != 3 || len(c.Problems) > 0 || len(held(t, dir)) != len(before) {
		t.Errorf("checked: %+v, %v", c, err)
	}
	if r, err = a.Repair(ctx); err != nil || len(r.Moved) != 3 {
		t.Errorf("repaired: %+v, %v", r, err)
	}
	for _, name := range stray {
		if got := string(read(t, filepath.Join(r.To, name))); got != name {
			t.Errorf("%s holds %q", name, got)
		}
	}
	if c, err = a.Check(ctx, nil); err != nil || len(c.LeftOver)+len(c.Problems) > 0 || c.Files != 2 {
		t.Errorf("checked again: %+v, %v", c, err)
	}
}

// Checking changes nothing in the folder: not what is left over, not what was half-written,
// not what is down to be wiped.
func TestCheckOnlyReads(t *testing.T) {
	ctx := context.Background()
	a, dir, _ := filmed(t)
	a.Close()
	for _, name := range []string{"clips/.steadfall-1", "clips/stray.mp4", "incoming/half"} {
		write(t, filepath.Join(dir, name), []byte(name))
	}
	old(t, dir)
	before := contents(t, dir)
	b, err := archive.OpenAsIs(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Check(ctx, nil); err != nil {
		t.Error(err)
	}
	b.Close()
	after := contents(t, dir)
	for name := range before {
		if before[name] != after[name] {
			t.Errorf("%s was changed", name)
		}
	}
	if len(before) != len(after) {
		t.Errorf("%d files before, %d after", len(before), len(after))
	}
}

// contents are the files of a folder and what is in them.
func contents(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			out[path] = string(read(t, path))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func read(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func write(t *testing.T, name string, data []byte) {
	t.Helper()
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
}
