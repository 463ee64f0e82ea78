package safefile_test

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"steadfall/internal/safefile"
	"steadfall/internal/testkit/smalldisk"
)

// A page that does not fit on the disk leaves the page that was there, and nothing else.
func TestFullDisk(t *testing.T) {
	small := smalldisk.Mount(t, "64k")
	page := filepath.Join(small, "page.html")
	if err := safefile.Write(page, []byte("as it was")); err != nil {
		t.Fatal(err)
	}
	if err := safefile.Write(page, make([]byte, 1<<20)); err == nil || !strings.Contains(err.Error(), "the disk is full; free some space") {
		t.Errorf("onto a full disk: %v", err)
	}
	if text, err := os.ReadFile(page); err != nil || string(text) != "as it was" {
		t.Errorf("the page that was there: %q, %v", text, err)
	}
	if left, err := os.ReadDir(small); err != nil || len(left) != 1 {
		t.Errorf("files are left: %v, %v", left, err)
	}
}

// A full disk is said of a full disk only: what the writer of a page fails of is its own to
// say, and the system's other reasons have their own words.
func TestFullDiskOnlyWhenItIs(t *testing.T) {
	page := filepath.Join(t.TempDir(), "page.html")
	own := errors.New("the page has no number")
	if err := safefile.Pour(page, func(io.Writer) error { return own }); !errors.Is(err, own) {
		t.Errorf("of its own failure: %v", err)
	}
	if err := safefile.Copy(page, filepath.Dir(page)); err == nil || strings.Contains(err.Error(), "full") || !strings.Contains(err.Error(), "cannot be read to its end") {
		t.Errorf("of a source that cannot be read: %v", err)
	}
	if left, err := os.ReadDir(filepath.Dir(page)); err != nil || len(left) > 0 {
		t.Errorf("files are left: %v, %v", left, err)
	}
	for _, e := range []error{syscall.EIO, syscall.EROFS, syscall.EACCES, syscall.ENOENT, syscall.EFBIG, syscall.EBADF} {
		if why := safefile.Why(&fs.PathError{Op: "write", Path: page, Err: e}); strings.Contains(why, "full") {
			t.Errorf("%v: %s", e, why)
		}
	}
	if why := safefile.Why(&fs.PathError{Op: "write", Path: page, Err: syscall.ENOSPC}); !strings.Contains(why, "the disk is full") {
		t.Error(why)
	}
	t.Setenv("TMPDIR", page)
	if _, err := safefile.TempDir("x-"); err == nil || strings.Contains(err.Error(), "full") || !strings.Contains(err.Error(), "its folder is not there") {
		t.Errorf("of a folder for temporary files that is not there: %v", err)
	}
}
