package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"golang.org/x/sys/unix"
)

// The locks of an archive, files in its folder. The kernel lets go of them when their
// process ends, however it ends.
const (
	deskLock   = "desk.lock"   // of who works off the archive's clips
	turnLock   = "turn.lock"   // of who imports
	backupLock = "backup.lock" // of who makes a backup
	filesLock  = "files.lock"  // of who adds or removes clips and pictures, for as long as that takes
)

// lockPause is how long whoever waits for a lock waits before they look again.
const lockPause = 20 * time.Millisecond

var errLocked = errors.New("somebody else has the lock")

// tryLock takes a lock of the archive, or returns errLocked.
func (a *Archive) tryLock(name string) (unlock func(), err error) {
	f, err := os.OpenFile(filepath.Join(a.dir, name), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, fmt.Errorf("the archive %q may not be written to; check the folder's permissions", a.dir)
	}
	err = unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	switch {
	case err == nil:
		return func() { f.Close() }, nil
	case errors.Is(err, unix.EWOULDBLOCK):
		err = errLocked
	default:
		err = fmt.Errorf("the folder of the archive %q cannot be locked (%w); keep the archive on a disk of this machine", a.dir, err)
	}
	f.Close()
	return nil, err
}

// lock takes a lock of the archive as soon as whoever has it lets go.
func (a *Archive) lock(ctx context.Context, name string) (unlock func(), err error) {
	for {
		unlock, err := a.tryLock(name)
		if !errors.Is(err, errLocked) {
			return unlock, err
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(lockPause):
		}
	}
}

// alone does what adds or removes files while nobody else does: between the moment when a
// file is found to be there, or to be nobody's, and the commit that relies on it, no other
// process may change that.
func (a *Archive) alone(ctx context.Context, f func() error) error {
	unlock, err := a.lock(ctx, filesLock)
	if err != nil {
		return err
	}
	defer unlock()
	return f()
}

// Turn waits until no other process imports into the archive, so that each sees what the one
// before it kept, and keeps others waiting until the turn is over. wait is told once when it
// has to wait; it may be nil.
func (a *Archive) Turn(ctx context.Context, wait func()) (over func(), err error) {
	over, err = a.tryLock(turnLock)
	if !errors.Is(err, errLocked) {
		return over, err
	}
	if wait != nil {
		wait()
	}
	return a.lock(ctx, turnLock)
}

// Claim makes this process the only one that works off the archive's clips, until the
// claim is let go or the process ends.
func (a *Archive) Claim() (letGo func(), err error) {
	letGo, err = a.tryLock(deskLock)
	if errors.Is(err, errLocked) {
		return nil, fmt.Errorf("the archive %q is served by another steadfall already; use that one, or stop it first", a.dir)
	}
	return letGo, err
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
