package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"

	"steadfall/internal/safefile"
)

// clipFile and pictureFile name files by their content, so that names tell nothing.
func clipFile(v View) string { return v.Hash + strings.ToLower(filepath.Ext(v.Clip)) }

func pictureFile(p Picture) string {
	if http.DetectContentType(p.Data) == "video/mp4" {
		return hashOf(p.Data) + ".mp4"
	}
	return hashOf(p.Data) + ".jpg"
}

// newFile is a clip or a picture on its way into the archive.
type newFile struct {
	name  string // in the archive's folder
	write func(to string) error
}

// filesOf are the clips and pictures of recordings.
func filesOf(all []Recording) (out []newFile) {
	for _, r := range all {
		for _, v := range r.Views {
			if v.Clip != "" {
				out = append(out, newFile{clips + "/" + clipFile(v), func(to string) error { return safefile.Copy(to, v.Clip) }})
			}
		}
		for _, p := range r.Pictures {
			out = append(out, newFile{pictures + "/" + pictureFile(p), func(to string) error { return safefile.Write(to, p.Data) }})
		}
	}
	return out
}

// change does work in one transaction and brings new files into the archive with it, both or
// neither; files that the work let go are wiped. New files come first. Before the first of
// them is written they are put down to be wiped, and the commit takes them off that list:
// whatever cuts this off, the next opening clears it up.
func (a *Archive) change(ctx context.Context, files []newFile, work func(tx *sql.Tx) error) error {
	return a.alone(ctx, func() error {
		err := a.writeFiles(ctx, files)
		if err == nil {
			err = a.write(ctx, func(tx *sql.Tx) error {
				if err := work(tx); err != nil {
					return err
				}
				return stay(ctx, tx, files)
			})
		}
		if err == nil && len(files) > 0 {
			// One that stays behind is brought up by the next addition.
			_ = a.setMark(context.WithoutCancel(ctx))
		}
		// What failed must be cleared up even when it was interrupted. What cannot be removed
		// now is removed at the next opening.
		_ = a.wipe(context.WithoutCancel(ctx))
		return err
	})
}

// writeFiles writes those files that are not there yet.
func (a *Archive) writeFiles(ctx context.Context, files []newFile) error {
	var missing []newFile
	for _, f := range files {
		if _, err := os.Stat(filepath.Join(a.dir, f.name)); err != nil {
			missing = append(missing, f)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	err := a.write(ctx, func(tx *sql.Tx) error {
		for _, f := range missing {
			if _, err := tx.ExecContext(ctx, "INSERT OR IGNORE INTO wipe VALUES (?)", f.name); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, f := range missing {
		if err := f.write(filepath.Join(a.dir, f.name)); err != nil {
			return err
		}
	}
	return nil
}

// stay takes files off the list of what is to be wiped.
func stay(ctx context.Context, tx *sql.Tx, files []newFile) error {
	if len(files) == 0 {
		return nil
	}
	for _, f := range files {
		if _, err := tx.ExecContext(ctx, "DELETE FROM wipe WHERE file = ?", f.name); err != nil {
			return err
		}
	}
	return added(ctx, tx)
}

// freePages stands among the files to wipe for the free pages of the database.
const freePages = ""

// finish wipes what an interrupted addition or deletion left behind. An older copy of the
// database may have on its list what was kept since, and wipes nothing.
func (a *Archive) finish(ctx context.Context) error {
	if n, err := a.unfinished(ctx); err != nil || n == 0 {
		return err
	}
	if ok, err := a.matches(ctx); err != nil || !ok {
		return err
	}
	return a.alone(ctx, func() error { return a.wipe(ctx) })
}

// unfinished is how much is still to be wiped.
func (a *Archive) unfinished(ctx context.Context) (n int, err error) {
	err = a.db.QueryRowContext(ctx, "SELECT count(*) FROM wipe").Scan(&n)
	return n, a.plain(err)
}

// wipe removes what is down to be wiped, while nobody else adds or removes files: files
// that nobody has first, then the free pages of the database and its log.
func (a *Archive) wipe(ctx context.Context) error {
	names, err := gather(ctx, a, func(rows *sql.Rows, s *string) error { return rows.Scan(s) }, "SELECT file FROM wipe ORDER BY file DESC")
	if err != nil || len(names) == 0 {
		return err
	}
	a.dropHalves()
	for _, name := range names { // the free pages sort last
		if err := a.wipeOne(ctx, name); err != nil {
			return err
		}
		if _, err := a.db.ExecContext(ctx, "DELETE FROM wipe WHERE file = ?", name); err != nil {
			return a.plain(err)
		}
		if name == freePages {
			return a.emptyLog(ctx)
		}
	}
	return nil
}

func (a *Archive) wipeOne(ctx context.Context, name string) error {
	if name == freePages {
		return a.vacuum(ctx)
	}
	if used, err := a.used(ctx, name); used || err != nil {
		return err // somebody added the same clip meanwhile
	}
	if err := os.Remove(filepath.Join(a.dir, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("what was deleted is no longer in the archive, but a file of it could not be removed; check the permissions of the folder %q, and the next command on the archive removes it", filepath.Join(a.dir, filepath.Dir(name)))
	}
	return nil
}

// dropHalves removes what was half-written when its addition was cut off.
func (a *Archive) dropHalves() {
	for _, sub := range []string{clips, pictures} {
		entries, _ := os.ReadDir(filepath.Join(a.dir, sub))
		for _, e := range entries {
			if strings.HasPrefix(e.Name(), safefile.Half) {
				_ = os.Remove(filepath.Join(a.dir, sub, e.Name())) // or another time
			}
		}
	}
}

// usedFile asks for those who have a file, by its name without the folder.
const usedFile = `SELECT 1 FROM view WHERE clip = ?1 UNION ALL SELECT 1 FROM picture WHERE file = ?1
	UNION ALL SELECT 1 FROM take_file WHERE ?1 IN (file, file || '.info')`

// used reports whether anybody has a file of the archive.
func (a *Archive) used(ctx context.Context, name string) (bool, error) {
	var yes bool
	err := a.db.QueryRowContext(ctx, "SELECT EXISTS ("+usedFile+")", filepath.Base(name)).Scan(&yes)
	return yes, a.plain(err)
}

func (a *Archive) vacuum(ctx context.Context) error {
	if _, err := a.db.ExecContext(ctx, "VACUUM"); err != nil {
		return fmt.Errorf("what was deleted is no longer in the archive, but its traces in the database are, until a later command on the archive can rewrite it: %w", a.plain(err))
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
		return fmt.Errorf("what was deleted is no longer in the archive, but another steadfall still reads %q, so that its traces in the log are left; the next command on the archive wipes them, once that one is closed", a.dir)
	}
	return nil
}

// isNamedBy reports whether a file is named by the hash of its content.
func isNamedBy(name, hash string) bool {
	base := filepath.Base(name)
	return hash == strings.TrimSuffix(base, filepath.Ext(base))
}
