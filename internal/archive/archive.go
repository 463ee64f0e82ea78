// Package archive keeps a squad's season in one folder: athletes, sessions, trials with
// their tracks, clips and pictures, every measurement and score, and what people decided.
//
//	squad.db    SQLite; what is acknowledged is on the disk
//	clips/      copies of the clips, each named by its content
//	pictures/   the stills of the reports
//	incoming/   what is being uploaded, until it is scored
//	squad.mark  that the files beside it were kept by this squad.db
//	left-over/  what Repair has set aside
//
// The folder may be copied whole while no steadfall is running; `archive backup` makes a
// consistent copy at any time. File names and the database's free pages tell nothing of
// anybody: a deleted athlete leaves no byte behind.
package archive

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

//go:embed schema/*.sql
var schemas embed.FS

// The files and folders in an archive's folder.
const (
	database = "squad.db"
	clips    = "clips"
	pictures = "pictures"
)

// Archive is an open archive. It may be used by several goroutines.
type Archive struct {
	dir string
	db  *sql.DB
	now func() time.Time
}

// Squad is whose archive it is.
type Squad struct {
	Name     string
	Invented bool // nobody in it is real; every page says so
}

// Create makes an empty archive in a folder that is new or empty.
func Create(ctx context.Context, dir string, s Squad) (*Archive, error) {
	if s.Name == "" {
		return nil, errors.New("the squad has no name; give it one")
	}
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return nil, fmt.Errorf("the folder %q is not empty; choose a new one for the archive", dir)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the folder %q cannot be made; check that its parent exists and may be written to", dir)
	}
	db, err := os.OpenFile(filepath.Join(dir, database), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600) // SQLite would let others read it
	if err != nil {
		return nil, fmt.Errorf("the folder %q may not be written to; check its permissions", dir)
	}
	db.Close()
	a, err := open(ctx, dir, true)
	if err != nil {
		return nil, err
	}
	err = a.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO squad (name, invented, made) VALUES (?, ?, ?)", s.Name, s.Invented, a.stamp())
		return err
	})
	if err != nil {
		a.Close()
		return nil, err
	}
	err = a.makeFolders()
	if err == nil {
		err = a.setMark(ctx)
	}
	if err == nil {
		err = a.shut()
	}
	if err == nil {
		err = a.emptyLog(ctx) // so that squad.db is an archive's by itself
	}
	if err != nil {
		a.Close()
		return nil, err
	}
	return a, nil
}

// Open opens an archive, brings its tables up to this version, and finishes an addition or
// a deletion that was interrupted.
func Open(ctx context.Context, dir string) (*Archive, error) {
	a, err := OpenAsIs(ctx, dir)
	if err != nil {
		return nil, err
	}
	if err := a.makeFolders(); err != nil {
		a.Close()
		return nil, err
	}
	// None of these keeps anybody from their work. A folder of somebody else's is theirs to
	// shut, and Check says what else is not as it should be.
	_ = a.shut()
	_ = a.setMark(ctx)
	if err := a.finish(ctx); ctx.Err() != nil {
		a.Close()
		return nil, err
	}
	return a, nil
}

// OpenAsIs opens an archive for looking at what there is: but for bringing the tables up to
// this version it leaves everything as it is.
func OpenAsIs(ctx context.Context, dir string) (*Archive, error) {
	if _, err := os.Stat(filepath.Join(dir, database)); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%q is not an archive; make one with steadfall archive create", dir)
		}
		return nil, fmt.Errorf("the archive %q cannot be read; check that you may read the folder", dir)
	}
	return open(ctx, dir, false)
}

func connect(dir string, fresh bool) (*sql.DB, error) {
	path, err := filepath.Abs(filepath.Join(dir, database))
	if err != nil {
		return nil, err
	}
	q := url.Values{"_txlock": {"immediate"}, "_pragma": {
		"busy_timeout(20000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)", "secure_delete(1)",
	}}
	if !fresh {
		q.Set("mode", "rw")
	}
	return sql.Open("sqlite", (&url.URL{Scheme: "file", Path: path, RawQuery: q.Encode()}).String())
}

func open(ctx context.Context, dir string, fresh bool) (*Archive, error) {
	db, err := connect(dir, fresh)
	if err != nil {
		return nil, err
	}
	a := &Archive{dir: dir, db: db, now: time.Now}
	if !fresh {
		err = a.ours(ctx)
	}
	if err == nil {
		err = a.migrate(ctx)
	}
	if err != nil {
		db.Close()
		return nil, a.plain(err)
	}
	return a, nil
}

// ours refuses a database that no steadfall made, which would be a new one with nothing in
// it once it had the tables.
func (a *Archive) ours(ctx context.Context) error {
	var version, tables int
	if err := a.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	err := a.db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name IN ('squad', 'athlete', 'session', 'trial', 'view', 'picture', 'wipe')").Scan(&tables)
	if err == nil && (version == 0 || tables < 7) {
		err = fmt.Errorf("the file %s in %q is empty or of another program; put the archive's own one back, or restore a backup into a new folder with steadfall archive restore", database, a.dir)
	}
	return err
}

// makeFolders makes the folders of the archive that are not there.
func (a *Archive) makeFolders() error {
	for _, sub := range []string{clips, pictures, incoming} {
		if err := os.MkdirAll(filepath.Join(a.dir, sub), 0o700); err != nil {
			return fmt.Errorf("the archive %q may not be written to; check the folder's permissions", a.dir)
		}
	}
	return nil
}

// Close closes the archive.
func (a *Archive) Close() error { return a.db.Close() }

// Squad returns whose archive it is.
func (a *Archive) Squad(ctx context.Context) (Squad, error) {
	var s Squad
	err := a.db.QueryRowContext(ctx, "SELECT name, invented FROM squad").Scan(&s.Name, &s.Invented)
	return s, a.plain(err)
}

// NameSquad gives the squad another name.
func (a *Archive) NameSquad(ctx context.Context, name string) error {
	_, err := a.db.ExecContext(ctx, "UPDATE squad SET name = ?", name)
	return a.plain(err)
}

// newest is the version of the tables that this program knows.
func newest() int {
	files, _ := schemas.ReadDir("schema")
	return len(files)
}

// migrate brings the tables up to the newest version, one whole step at a time.
func (a *Archive) migrate(ctx context.Context) error {
	var have int
	if err := a.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&have); err != nil {
		return err
	}
	if have > newest() {
		return fmt.Errorf("the archive %q was made by a newer steadfall (tables of version %d, this one knows %d); update steadfall", a.dir, have, newest())
	}
	for v := have + 1; v <= newest(); v++ {
		err := a.write(ctx, func(tx *sql.Tx) error {
			// Another process may have been here first.
			var now int
			if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&now); err != nil || now >= v {
				return err
			}
			return step(ctx, tx, v)
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// step brings the tables from the version before to version v.
func step(ctx context.Context, tx *sql.Tx, v int) error {
	text, err := schemas.ReadFile(fmt.Sprintf("schema/%d.sql", v))
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, string(text)); err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", v))
	return err
}

// write does all of f's work or none of it. When it returns nil the work is on the disk.
func (a *Archive) write(ctx context.Context, f func(tx *sql.Tx) error) error {
	tx, err := a.db.BeginTx(ctx, nil)
	if err != nil {
		return a.plain(err)
	}
	if err := f(tx); err != nil {
		_ = tx.Rollback() // the first error is the one that matters
		return a.plain(err)
	}
	return a.plain(tx.Commit())
}

// plain says in plain words what SQLite means, and what to do.
func (a *Archive) plain(err error) error {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() & 0xff {
	case lib.SQLITE_FULL:
		return fmt.Errorf("the archive %q could not be written: the disk is full; free some space and do it again, nothing that was kept is lost", a.dir)
	case lib.SQLITE_IOERR:
		return fmt.Errorf("the archive %q could not be read or written: the disk is full, fails or is gone; look after it and do it again, nothing that was kept is lost", a.dir)
	case lib.SQLITE_READONLY, lib.SQLITE_CANTOPEN, lib.SQLITE_PERM:
		return fmt.Errorf("the archive %q may not be written to; check the folder's permissions", a.dir)
	case lib.SQLITE_CORRUPT, lib.SQLITE_NOTADB:
		return fmt.Errorf("the archive %q is damaged; restore a backup with steadfall archive restore", a.dir)
	case lib.SQLITE_INTERRUPT:
		return context.Canceled
	case lib.SQLITE_BUSY, lib.SQLITE_LOCKED:
		return fmt.Errorf("the archive %q is in use by another steadfall; wait for it to finish and do it again", a.dir)
	}
	return fmt.Errorf("the archive %q: %w", a.dir, err)
}

// stamp is the time now as it is kept.
func (a *Archive) stamp() string { return a.now().UTC().Format(time.RFC3339) }

// gather reads every row of a query.
func gather[T any](ctx context.Context, a *Archive, scan func(*sql.Rows, *T) error, query string, args ...any) ([]T, error) {
	rows, err := a.db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, a.plain(err)
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		var v T
		if err := scan(rows, &v); err != nil {
			return nil, a.plain(err)
		}
		out = append(out, v)
	}
	return out, a.plain(rows.Err())
}
