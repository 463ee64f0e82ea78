// Package safefile writes files whole or not at all, for their owner alone: what it writes
// mostly tells of somebody's health.
package safefile

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"golang.org/x/sys/unix"
)

// Half begins the name of a file that is still being written.
const Half = ".steadfall-"

// Write puts data into the named file: it is written beside it under another name
// and moved into place at the end, so that a failure leaves what was there before.
// Errors say in plain words what to do.
func Write(name string, data []byte) error {
	return Pour(name, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// Copy copies a file in the same way. The two must not be one file.
func Copy(name, from string) error {
	in, err := os.Open(from)
	if err != nil {
		return fmt.Errorf("%q cannot be read; check the name and the folder", from)
	}
	defer in.Close()
	return Pour(name, func(w io.Writer) error {
		_, err := io.Copy(w, &reading{in, from})
		return err
	})
}

// reading says of which file it cannot go on reading.
type reading struct {
	from io.Reader
	name string
}

func (r *reading) Read(p []byte) (int, error) {
	n, err := r.from.Read(p)
	if err != nil && err != io.EOF {
		err = fmt.Errorf("%q cannot be read to its end: %s", r.name, Why(err))
	}
	return n, err
}

// Pour writes what fill writes in the same way, so that it need not be held whole. What fill
// fails of by itself is its own to say.
func Pour(name string, fill func(io.Writer) error) error {
	dir := filepath.Dir(name)
	if err := isFolder(name); err != nil {
		return err
	}
	tmp, err := os.CreateTemp(dir, Half+"*")
	if err != nil {
		return notInto(dir)
	}
	defer os.Remove(tmp.Name())
	to := writing{to: tmp}
	if err = fill(&to); err != nil && to.failed == nil {
		tmp.Close()
		return err
	}
	if e := tmp.Sync(); err == nil {
		err = e
	}
	if e := tmp.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Chmod(tmp.Name(), 0o600)
	}
	if err == nil {
		err = os.Rename(tmp.Name(), name)
	}
	if err != nil {
		return fmt.Errorf("%q could not be written: %s", name, Why(cmp.Or(to.failed, err)))
	}
	return nil
}

// writing keeps why the file could not be written to.
type writing struct {
	to     io.Writer
	failed error
}

func (w *writing) Write(p []byte) (int, error) {
	n, err := w.to.Write(p)
	w.failed = cmp.Or(w.failed, err)
	return n, err
}

// Why says in plain words why the system would not write or read, and what to do.
func Why(err error) string {
	for _, c := range []struct {
		is    error
		words string
	}{
		{syscall.ENOSPC, "the disk is full; free some space and do it again"},
		{syscall.EDQUOT, "your share of the disk is full; free some space and do it again"},
		{syscall.EFBIG, "it is larger than a file may be here"},
		{syscall.EROFS, "the disk is read-only; name another place"},
		{syscall.EIO, "the disk does not answer as it should; look after it, and do it again on another one"},
		{fs.ErrPermission, "you have no right to; change the permissions, or name another place"},
		{fs.ErrNotExist, "its folder is not there; check the name"},
	} {
		if errors.Is(err, c.is) {
			return c.words
		}
	}
	return fmt.Sprintf("the system refuses it (%v)", err)
}

// TempDir makes a new folder for temporary files, whose name begins so.
func TempDir(begin string) (string, error) {
	dir, err := os.MkdirTemp("", begin)
	if err != nil {
		return "", fmt.Errorf("no temporary folder can be made in %q (%s); TMPDIR names another place", os.TempDir(), Why(err))
	}
	return dir, nil
}

// Check reports what Write would say of a name whatever the data, as far as it can be known
// without writing anything.
func Check(name string) error {
	if err := isFolder(name); err != nil {
		return err
	}
	dir := filepath.Dir(name)
	if st, err := os.Stat(dir); err != nil || !st.IsDir() || unix.Access(dir, unix.W_OK|unix.X_OK) != nil {
		return notInto(dir)
	}
	return nil
}

func isFolder(name string) error {
	if st, err := os.Stat(name); err == nil && st.IsDir() {
		return fmt.Errorf("%q is a folder; name a file in it", name)
	}
	return nil
}

func notInto(dir string) error {
	return fmt.Errorf("nothing can be written into the folder %q; check that it exists and may be written to", dir)
}

// Same reports whether two names are one file.
func Same(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}
