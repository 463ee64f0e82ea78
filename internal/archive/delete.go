package archive

import (
	"context"
	"database/sql"
)

// Deleted says what a deletion took away, and what it could not reach.
type Deleted struct {
	Trials  int
	Files   int
	Backups []Backup // made while the athlete was in the archive: they still hold them
}

// Delete takes an athlete out of the archive for good: every row, clip, track and picture,
// and what is left of them in the database's free pages. Interrupted before its commit it
// has done nothing; after that it goes on to its end, and where the process ends the next
// opening of the archive does.
func (a *Archive) Delete(ctx context.Context, code string) (Deleted, error) {
	p, err := a.Athlete(ctx, code)
	if err != nil {
		return Deleted{}, err
	}
	var d Deleted
	if d.Backups, err = a.backupsOf(ctx, p.ID); err != nil {
		return d, err
	}
	d.Trials, d.Files, err = a.erase(ctx, "athlete = ?", p.ID, func(tx *sql.Tx) error {
		takes, err := a.takesOf(ctx, p.ID)
		if err != nil {
			return err
		}
		if err := a.dropTakes(ctx, tx, takes); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM athlete WHERE id = ?", p.ID)
		return err
	})
	return d, err
}

func (a *Archive) dropTakes(ctx context.Context, tx *sql.Tx, takes []Take) error {
	for _, t := range takes {
		if err := a.dropFiles(ctx, tx, t.ID); err != nil {
			return err
		}
	}
	return nil
}

// DeleteSession takes a session out for good with everything in it: trials, what was filmed
// for it, pain and absences.
func (a *Archive) DeleteSession(ctx context.Context, id int64) (trials, files int, err error) {
	return a.erase(ctx, "session = ?", id, func(tx *sql.Tx) error {
		takes, err := a.Takes(ctx, id)
		if err != nil {
			return err
		}
		if err := a.dropTakes(ctx, tx, takes); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM session WHERE id = ?", id)
		return err
	})
}

// DeleteTrial takes one trial out for good, and returns how many files went with it.
func (a *Archive) DeleteTrial(ctx context.Context, id int64) (files int, err error) {
	if _, err := a.Trial(ctx, id); err != nil {
		return 0, err
	}
	_, files, err = a.erase(ctx, "id = ?", id, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "DELETE FROM trial WHERE id = ?", id)
		return err
	})
	return files, err
}

// erase takes out the trials for which a condition holds, with what take does, and then
// wipes what they leave behind. Files are named by their content, so that one may belong to
// another trial too and stays.
func (a *Archive) erase(ctx context.Context, which string, id int64, take func(tx *sql.Tx) error) (trials, files int, err error) {
	err = a.alone(ctx, func() error {
		err := a.write(ctx, func(tx *sql.Tx) error {
			gone := "WITH gone AS (SELECT id FROM trial WHERE " + which + ") "
			if err := tx.QueryRowContext(ctx, gone+"SELECT count(*) FROM gone", id).Scan(&trials); err != nil {
				return err
			}
			_, err := tx.ExecContext(ctx, gone+`INSERT OR IGNORE INTO wipe
				SELECT ?2 || clip FROM view WHERE clip <> '' AND trial IN gone AND clip NOT IN (SELECT clip FROM view WHERE trial NOT IN gone)
				UNION SELECT ?3 || file FROM picture WHERE trial IN gone AND file NOT IN (SELECT file FROM picture WHERE trial NOT IN gone)`,
				id, clips+"/", pictures+"/")
			if err != nil {
				return err
			}
			if err := take(tx); err != nil {
				return err
			}
			if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM wipe WHERE file <> ? AND file NOT LIKE '%.info'", freePages).Scan(&files); err != nil {
				return err
			}
			_, err = tx.ExecContext(ctx, "INSERT OR IGNORE INTO wipe VALUES (?)", freePages)
			return err
		})
		if err != nil {
			return err
		}
		return a.wipe(context.WithoutCancel(ctx))
	})
	return trials, files, err
}
