package archive

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"

	"golang.org/x/sys/unix"
)

// Claim makes this process the only one that works off the archive's clips, until the
// claim is let go or the process ends.
func (a *Archive) Claim() (letGo func(), err error) {
	f, err := os.OpenFile(filepath.Join(a.dir, "desk.lock"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, fmt.Errorf("the archive %q may not be written to; check the folder's permissions", a.dir)
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		f.Close()
		return nil, fmt.Errorf("the archive %q is served by another steadfall already; use that one, or stop it first", a.dir)
	}
	return func() { f.Close() }, nil
}

// Pool opens the archive's database once more, with one connection, for a queue of jobs
// that is kept in it. Its user closes it.
func (a *Archive) Pool() (*sql.DB, error) {
	db, err := connect(a.dir, false)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	return db, nil
}
