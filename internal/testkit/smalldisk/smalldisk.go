// Package smalldisk gives tests a disk that is soon full.
package smalldisk

import (
	"os/exec"
	"syscall"
	"testing"
)

// Mount mounts a file system of a size, such as 64k, and returns its folder. It is gone when
// the test ends; where nothing can be mounted the test is skipped.
func Mount(t testing.TB, size string) string {
	t.Helper()
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size="+size, "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("no file system can be mounted here: %s", out)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}
