package archive_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfall/internal/archive"
)

// The archive's own files are refused as outputs by every way there; what stands beside them
// is not.
func TestNotOwn(t *testing.T) {
	_, dir, _ := newArchive(t, ash)
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(dir, link); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name    string
		allowed bool
	}{
		{filepath.Join(dir, "squad.db"), false},
		{filepath.Join(dir, "squad.db-wal"), false},
		{filepath.Join(dir, "SQUAD.DB"), false},
		{filepath.Join(dir, "squad.mark"), false},
		{filepath.Join(dir, "clips", "..", "desk.lock"), false},
		{filepath.Join(dir, "clips", "page.html"), false},
		{filepath.Join(dir, "left-over", "then", "clips", "page.html"), false},
		{filepath.Join(link, "pictures", "page.html"), false},
		{filepath.Join(dir, "squad.html"), true},
		{filepath.Join(dir, "pages", "clips.html"), true},
		{filepath.Join(dir, "..", "squad.db"), true},
		{"-", true},
		{"", true},
	} {
		err := archive.NotOwn(c.name)
		if c.allowed != (err == nil) || err != nil && !strings.Contains(err.Error(), "choose a place outside") {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}
