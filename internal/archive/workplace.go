package archive

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/sys/unix"

	"steadfall/internal/safefile"
)

// The kinds of folders in which backups and restores work, beside what they make.
const (
	backupWork  = safefile.Half + "backup-"
	restoreWork = safefile.Half + "restore-"
)

// workplace makes a folder to work in beside what is to come, and clears away those of
// backups and restores that were cut off: whoever works in one holds it locked.
func workplace(parent, kind string) (dir string, clear func(), err error) {
	clearWorkplaces(parent)
	for range 20 {
		if dir, err = os.MkdirTemp(parent, kind+"*"); err != nil {
			break
		}
		f, e := lockFolder(dir)
		if e != nil { // somebody clears away, and found it before it was locked
			os.RemoveAll(dir)
			continue
		}
		if !sameFile(f, dir) {
			f.Close()
			continue
		}
		return dir, func() {
			os.RemoveAll(dir)
			f.Close()
		}, nil
	}
	return "", nil, fmt.Errorf("nothing can be written into the folder %q; check that it exists and may be written to", parent)
}

// sameFile reports whether an open file is still the one of that name.
func sameFile(f *os.File, name string) bool {
	a, errA := f.Stat()
	b, errB := os.Stat(name)
	return errA == nil && errB == nil && os.SameFile(a, b)
}

func clearWorkplaces(parent string) {
	entries, _ := os.ReadDir(parent)
	for _, e := range entries {
		ours := slices.ContainsFunc([]string{backupWork, restoreWork}, func(kind string) bool { return strings.HasPrefix(e.Name(), kind) })
		if !ours || !e.IsDir() {
			continue
		}
		dir := filepath.Join(parent, e.Name())
		if f, err := lockFolder(dir); err == nil { // nobody works in it any more
			os.RemoveAll(dir)
			f.Close()
		}
	}
}

func lockFolder(dir string) (*os.File, error) {
	f, err := os.Open(dir)
	if err != nil {
		return nil, err
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}
