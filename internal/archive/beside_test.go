package archive_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"steadfall/internal/archive"
)

// Checking while trials come in takes none of their fresh clips.
func TestCheckBesideAnImport(t *testing.T) {
	ctx := context.Background()
	a, dir, s := newArchive(t, ash)
	b, err := archive.Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	const trials = 30
	recordings := make([]archive.Recording, trials)
	for i := range recordings {
		clip := filepath.Join(t.TempDir(), "clip.mp4")
		if err := os.WriteFile(clip, fmt.Appendf(nil, "clip %d", i), 0o600); err != nil {
			t.Fatal(err)
		}
		r := landing(t, 14)
		if r.Views[0].Hash, err = archive.HashFile(ctx, clip); err != nil {
			t.Fatal(err)
		}
		r.Views[0].Clip = clip
		r.Trial.Athlete, r.Trial.Session, r.Trial.Number = "Ash", s, i+1
		recordings[i] = r
	}
	done := make(chan error)
	go func() {
		_, err := a.Add(ctx, recordings...)
		done <- err
	}()
	for looking := true; looking; {
		select {
		case err := <-done:
			if err != nil {
				t.Fatal(err)
			}
			looking = false
		default:
			if _, err := b.Check(ctx, nil); err != nil {
				t.Fatal(err)
			}
		}
	}
	c, err := b.Check(ctx, nil)
	if err != nil || len(c.Problems) > 0 || c.Files != trials {
		t.Errorf("%d files, problems %v, %v", c.Files, c.Problems, err)
	}
}
