package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// freePages stands among the files to wipe for the free pages of the database.
const freePages = ""

// Deleted says what a deletion took away, and what it could not reach.
type Deleted struct {
	Trials  int
	Files   int
	Backups []Backup // made while the athlete was in the archive: they still hold them
}

// Delete takes an athlete out of the archive for good: every row, clip, track and picture,
// and what is left of them in the database's free pages. An interrupted deletion is
// finished when the archive is next opened.
func (a *Archive) Delete(ctx context.Context, code string) (Deleted, error) {
	p, err := a.Athlete(ctx, code)
	if err != nil {
		return Deleted{}, err
	}
	var d Deleted
	if d.Backups, err = a.backupsOf(ctx, p.ID); err != nil {
		return d, err
	}
	trials, err := gather(ctx, a, func(rows *sql.Rows, id *int64) error { return rows.Scan(id) }, "SELECT id FROM trial WHERE athlete = ?", p.ID)
	if err != nil {
		return d, err
	}
	d.Trials = len(trials)
	d.Files, err = a.erase(ctx, trials, func(tx *sql.Tx) error {
		takes, err := a.takesOf(ctx, p.ID)
		if err != nil {
			return err
		}
		for _, t := range takes {
			if err := a.dropFiles(ctx, tx, t.ID); err != nil {
				return err
			}
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM athlete WHERE id = ?", p.ID)
		return err
	})
	return d, err
}

// DeleteTrial takes one trial out for good, and returns how many files went with it.
func (a *Archive) DeleteTrial(ctx context.Context, id int64) (files int, err error) {
	if _, err := a.Trial(ctx, id); err != nil {
		return 0, err
	}
	return a.erase(ctx, []int64{id}, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM trial WHERE id = ?", id)
		return err
	})
}

// erase takes trials out with what take does and then wipes what they leave behind.
// Files are named by their content, so that one may belong to another trial too and stays.
func (a *Archive) erase(ctx context.Context, trials []int64, take func(tx *sql.Tx) error) (files int, err error) {
	err = a.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `WITH gone AS (SELECT value AS id FROM json_each(?1))
			INSERT OR IGNORE INTO wipe
			SELECT ?2 || clip FROM view WHERE clip <> '' AND trial IN gone AND clip NOT IN (SELECT clip FROM view WHERE trial NOT IN gone)
			UNION SELECT ?3 || file FROM picture WHERE trial IN gone AND file NOT IN (SELECT file FROM picture WHERE trial NOT IN gone)`,
			list(trials), clips+"/", pictures+"/")
		if err != nil {
			return err
		}
		if err := take(tx); err != nil {
			return err
		}
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM wipe WHERE file NOT LIKE '%.info'").Scan(&files); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "INSERT OR IGNORE INTO wipe VALUES (?)", freePages)
		return err
	})
	if err != nil {
		return files, err
	}
	return files, a.wipe(ctx)
}

// wipe finishes deletions: files first, then the free pages, then the log of the database.
func (a *Archive) wipe(ctx context.Context) error {
	names, err := gather(ctx, a, func(rows *sql.Rows, s *string) error { return rows.Scan(s) }, "SELECT file FROM wipe ORDER BY file DESC")
	if err != nil {
		return err
	}
	for _, name := range names { // the free pages sort last
		if name == freePages {
			if err := a.vacuum(ctx); err != nil {
				return err
			}
		} else if err := os.Remove(filepath.Join(a.dir, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("a file of the deleted athlete could not be removed; check the permissions of %q and do it again", a.dir)
		}
		if _, err := a.db.ExecContext(ctx, "DELETE FROM wipe WHERE file = ?", name); err != nil {
			return a.plain(err)
		}
	}
	if len(names) == 0 {
		return nil
	}
	return a.emptyLog(ctx)
}

func (a *Archive) vacuum(ctx context.Context) error {
	if _, err := a.db.ExecContext(ctx, "VACUUM"); err != nil {
		return fmt.Errorf("the athlete's rows are deleted, but the archive could not be rewritten without their traces: %w", a.plain(err))
	}
	return a.emptyLog(ctx)
}

// emptyLog brings everything from the write-ahead log into the database and cuts the log
// to nothing.
func (a *Archive) emptyLog(ctx context.Context) error {
	var busy, log, done int
	if err := a.db.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &log, &done); err != nil {
		return a.plain(err)
	}
	if busy != 0 {
		return fmt.Errorf("the athlete is deleted, but another steadfall still reads the archive %q; close it, and open the archive once more to finish", a.dir)
	}
	return nil
}
