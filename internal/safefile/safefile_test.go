package safefile_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfall/internal/safefile"
	"steadfall/internal/smalldisk"
)

// A page that does not fit on the disk leaves the page that was there, and nothing else.
func TestFullDisk(t *testing.T) {
	small := smalldisk.Mount(t, "64k")
	page := filepath.Join(small, "page.html")
	if err := safefile.Write(page, []byte("as it was")); err != nil {
		t.Fatal(err)
	}
	if err := safefile.Write(page, make([]byte, 1<<20)); err == nil || !strings.Contains(err.Error(), "is the disk full?") {
		t.Errorf("onto a full disk: %v", err)
	}
	if text, err := os.ReadFile(page); err != nil || string(text) != "as it was" {
		t.Errorf("the page that was there: %q, %v", text, err)
	}
	if left, err := os.ReadDir(small); err != nil || len(left) != 1 {
		t.Errorf("files are left: %v, %v", left, err)
	}
}
