package safefile_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"steadfall/internal/safefile"
)

// A page that does not fit on the disk leaves the page that was there, and nothing else.
func TestFullDisk(t *testing.T) {
	small := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", small).CombinedOutput(); err != nil {
		t.Skipf("no file system can be mounted here: %s", out)
	}
	defer func() {
		if err := syscall.Unmount(small, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	}()
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
