// Package safefile writes files whole or not at all, for their owner alone: what it writes
// mostly tells of somebody's health.
package safefile

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

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
		_, err := io.Copy(w, in)
		return err
	})
}

// Pour writes what fill writes in the same way, so that it need not be held whole.
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
	err = fill(tmp)
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
		return fmt.Errorf("%q could not be written (is the disk full?)", name)
	}
	return nil
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
