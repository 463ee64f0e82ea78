package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// Backup is one backup that was made.
type Backup struct {
	File string `json:"file"`
	Made string `json:"made"`
}

// backupsOf are the backups that hold an athlete.
func (a *Archive) backupsOf(ctx context.Context, athlete int64) ([]Backup, error) {
	if over, err := a.tryLock(backupLock); err == nil {
		err := a.settleBackups(ctx)
		over()
		if err != nil {
			return nil, err
		}
	}
	return gather(ctx, a, func(rows *sql.Rows, b *Backup) error { return rows.Scan(&b.File, &b.Made) },
		"SELECT b.file, b.made FROM backup b JOIN backup_athlete ba ON ba.backup = b.id WHERE ba.athlete = ? ORDER BY b.id", athlete)
}

// settleBackups takes out the notes of backups that were cut off, while none is being made.
func (a *Archive) settleBackups(ctx context.Context) error {
	type note struct {
		id   int64
		file string
	}
	notes, err := gather(ctx, a, func(rows *sql.Rows, n *note) error { return rows.Scan(&n.id, &n.file) }, "SELECT id, file FROM backup WHERE NOT whole")
	if err != nil {
		return err
	}
	for _, n := range notes {
		q := "UPDATE backup SET whole = 1 WHERE id = ?"
		if _, err := os.Stat(n.file); errors.Is(err, fs.ErrNotExist) {
			q = "DELETE FROM backup WHERE id = ?"
		}
		if _, err := a.db.ExecContext(ctx, q, n.id); err != nil {
			return a.plain(err)
		}
	}
	return nil
}

// Backup writes a consistent copy of the archive into one ZIP file, while others may go on
// using it, reads it back, and notes it in the archive. lost says in plain sentences which
// clips and pictures could not be taken as they came in; the rest is taken.
func (a *Archive) Backup(ctx context.Context, to string, tell func(done, total int)) (lost []string, err error) {
	if _, err := os.Stat(to); err == nil {
		return nil, fmt.Errorf("%q is there already; choose another name, so that no backup is lost", to)
	}
	if err := NotOwn(to); err != nil {
		return nil, err
	}
	abs, err := filepath.Abs(to)
	if err != nil {
		return nil, err
	}
	over, err := a.lock(ctx, backupLock)
	if err != nil {
		return nil, err
	}
	defer over()
	if err := a.settleBackups(ctx); err != nil {
		return nil, err
	}
	dir, clear, err := workplace(filepath.Dir(abs), backupWork)
	if err != nil {
		return nil, err
	}
	defer clear()
	note, err := a.noteBackup(ctx, abs)
	if err != nil {
		return nil, err
	}
	if lost, err = a.backup(ctx, dir, abs, tell); err != nil { // there is no such backup after all
		_, _ = a.db.ExecContext(context.WithoutCancel(ctx), "DELETE FROM backup WHERE id = ?", note)
		return nil, err
	}
	_, err = a.db.ExecContext(context.WithoutCancel(ctx), "UPDATE backup SET whole = 1 WHERE id = ?", note)
	return lost, a.plain(err)
}

// errDeletedMeanwhile says that the copy of the database has what is gone by now.
var errDeletedMeanwhile = errors.New("somebody deleted clips while the backup was made; try again")

// backup makes a backup in a folder to work in and moves it to where it belongs. Work on the
// archive goes on meanwhile; where somebody deletes a file before it was read, a fresh copy
// of the database is taken, and at last one during which nobody may.
func (a *Archive) backup(ctx context.Context, dir, to string, tell func(done, total int)) (lost []string, err error) {
	once := func() (err error) {
		lost, err = a.backupOnce(ctx, dir, to, tell)
		return err
	}
	for range 3 {
		if err = once(); !errors.Is(err, errDeletedMeanwhile) {
			return lost, err
		}
	}
	err = a.alone(ctx, once)
	return lost, err
}

// backupOnce fails with errDeletedMeanwhile where a file of the copy is gone.
func (a *Archive) backupOnce(ctx context.Context, dir, to string, tell func(done, total int)) (lost []string, err error) {
	if dir, err = os.MkdirTemp(dir, ""); err != nil {
		return nil, unwritten(err)
	}
	defer os.RemoveAll(dir) // before the next try, which needs the room
	db := filepath.Join(dir, database)
	if _, err := a.db.ExecContext(ctx, "VACUUM INTO ?", db); err != nil {
		return nil, fmt.Errorf("the backup could not be written: %w", a.plain(err))
	}
	names, waiting, err := copied(ctx, dir)
	if err != nil {
		return nil, err
	}
	files := []entry{file(database, db)}
	for _, name := range slices.Concat(names, waiting) {
		files = append(files, file(name, filepath.Join(a.dir, name)))
	}
	zipped := filepath.Join(dir, "backup.zip")
	hashes, err := writeZip(ctx, zipped, files, func(no *unreadable) error {
		if no.name == database {
			return no
		}
		used, err := a.used(ctx, no.name)
		if err == nil && !used {
			err = errDeletedMeanwhile
		}
		lost = append(lost, fmt.Sprintf("the file %s is missing or cannot be read; it is not in the backup", no.name))
		return err
	}, tell)
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		if hash, ok := hashes[name]; ok && !isNamedBy(name, hash) {
			lost = append(lost, fmt.Sprintf("the file %s is not what it was when it came in; it is in the backup as it is", name))
		}
	}
	if err := readBack(ctx, zipped, hashes); err != nil {
		return nil, err
	}
	if err := os.Rename(zipped, to); err != nil {
		return nil, fmt.Errorf("%q could not be written", to)
	}
	return lost, nil
}

// copied are the files that belong to a copy of the database, and not to the archive as it is
// by now: clips and pictures, and what waits to be measured.
func copied(ctx context.Context, dir string) (kept, waiting []string, err error) {
	c, err := OpenAsIs(ctx, dir)
	if err != nil {
		return nil, nil, err
	}
	defer c.Close()
	if kept, err = c.keptFiles(ctx); err != nil {
		return nil, nil, err
	}
	waiting, err = gather(ctx, c, func(rows *sql.Rows, s *string) error { return rows.Scan(s) }, "SELECT ? || file FROM take_file WHERE whole", incoming+"/")
	return kept, waiting, err
}

// noteBackup comes before the copying, so that the copy knows of itself.
func (a *Archive) noteBackup(ctx context.Context, file string) (id int64, err error) {
	err = a.write(ctx, func(tx *sql.Tx) error {
		if err := tx.QueryRowContext(ctx, "INSERT INTO backup (file, made, whole) VALUES (?, ?, 0) RETURNING id", file, a.stamp()).Scan(&id); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "INSERT INTO backup_athlete SELECT ?, id FROM athlete", id)
		return err
	})
	return id, err
}
