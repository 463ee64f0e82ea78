package archive

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// NotOwn refuses a file to be written that would go over an archive's own ones, or among
// them, whichever archive that is.
func NotOwn(name string) error {
	if name == "" || name == "-" {
		return nil
	}
	abs, err := filepath.Abs(name)
	if err != nil {
		return err
	}
	at := filepath.Base(abs) // as seen from each folder above it in turn
	for dir := filepath.Dir(abs); ; dir = filepath.Dir(dir) {
		if real, err := filepath.EvalSymlinks(dir); err == nil && real != dir {
			dir = real
		}
		if isArchive(dir) && own(at) {
			return fmt.Errorf("%q is for the archive %q alone; choose a place outside of it", name, dir)
		}
		if dir == filepath.Dir(dir) {
			return nil
		}
		at = filepath.Join(filepath.Base(dir), at)
	}
}

func isArchive(dir string) bool {
	_, err := os.Stat(filepath.Join(dir, database))
	return err == nil
}

// own reports whether a name within an archive's folder is of the archive.
func own(name string) bool {
	first, rest, below := strings.Cut(strings.ToLower(filepath.ToSlash(name)), "/")
	if below && rest != "" {
		return slices.Contains([]string{clips, pictures, incoming, aside}, first)
	}
	return strings.HasPrefix(first, database) || first == markFile || strings.HasSuffix(first, ".lock")
}

// shut keeps an archive's folders and files from everybody but their owner, whatever they
// were made with. A folder that stood open has its files shut as well.
func (a *Archive) shut() error {
	for _, name := range []string{"", database, database + "-wal", database + "-shm", markFile, filesLock, turnLock, backupLock, deskLock} {
		if _, err := shutOne(filepath.Join(a.dir, name)); err != nil {
			return err
		}
	}
	for _, sub := range []string{clips, pictures, incoming} {
		stood, err := shutOne(filepath.Join(a.dir, sub))
		if err == nil && stood {
			err = shutFiles(filepath.Join(a.dir, sub))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func shutFiles(dir string) error {
	entries, err := os.ReadDir(dir)
	for _, e := range entries {
		if _, err := shutOne(filepath.Join(dir, e.Name())); err != nil {
			return err
		}
	}
	return err
}

// shutOne takes the rights of others from a file or folder, and reports whether they had any.
func shutOne(path string) (stood bool, err error) {
	st, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil || st.Mode().Perm()&0o077 == 0 || st.Mode().Type()&fs.ModeSymlink != 0 {
		return false, err
	}
	return true, os.Chmod(path, st.Mode().Perm()&^0o077)
}
