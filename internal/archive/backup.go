package archive

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// Backup is one backup that was made.
type Backup struct {
	File string `json:"file"`
	Made string `json:"made"`
}

const backupColumns = "SELECT b.file, b.made FROM backup b"

// backupsOf are the backups that hold an athlete.
func (a *Archive) backupsOf(ctx context.Context, athlete int64) ([]Backup, error) {
	return gather(ctx, a, scanBackup, backupColumns+" JOIN backup_athlete ba ON ba.backup = b.id WHERE ba.athlete = ? ORDER BY b.id", athlete)
}

func scanBackup(rows *sql.Rows, b *Backup) error { return rows.Scan(&b.File, &b.Made) }

// manifest is the last file of a backup: the hash of every other one.
const manifest = "MANIFEST.json"

// Backup writes a consistent copy of the archive into one ZIP file, while others may go on
// using it, and notes it in the archive.
func (a *Archive) Backup(ctx context.Context, to string, tell func(done, total int)) (err error) {
	if _, err := os.Stat(to); err == nil {
		return fmt.Errorf("%q is there already; choose another name, so that no backup is lost", to)
	}
	if err := NotOwn(to); err != nil {
		return err
	}
	abs, err := filepath.Abs(to)
	if err != nil {
		return err
	}
	note, err := a.noteBackup(ctx, abs)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil { // there is no such backup after all
			_, _ = a.db.ExecContext(context.WithoutCancel(ctx), "DELETE FROM backup WHERE id = ?", note)
		}
	}()
	tmp, err := os.MkdirTemp(filepath.Dir(abs), ".steadfall-backup-*")
	if err != nil {
		return fmt.Errorf("nothing can be written into the folder %q; check that it exists and may be written to", filepath.Dir(to))
	}
	defer os.RemoveAll(tmp)
	db := filepath.Join(tmp, database)
	if _, err := a.db.ExecContext(ctx, "VACUUM INTO ?", db); err != nil {
		return fmt.Errorf("the backup could not be written (is the disk full?): %w", a.plain(err))
	}
	files := []entry{file(database, db)}
	names, err := a.keptFiles(ctx)
	if err != nil {
		return err
	}
	waiting, err := gather(ctx, a, func(rows *sql.Rows, s *string) error { return rows.Scan(s) }, "SELECT ? || file FROM take_file WHERE whole", incoming+"/")
	if err != nil {
		return err
	}
	names = append(names, waiting...)
	for _, name := range names {
		files = append(files, file(name, filepath.Join(a.dir, name)))
	}
	zipped := filepath.Join(tmp, "backup.zip")
	if err := writeZip(ctx, zipped, files, tell); err != nil {
		return err
	}
	if err := os.Rename(zipped, abs); err != nil {
		return fmt.Errorf("%q could not be written", to)
	}
	return nil
}

// noteBackup comes before the copying, so that the copy knows of itself.
func (a *Archive) noteBackup(ctx context.Context, file string) (id int64, err error) {
	err = a.write(ctx, func(tx *sql.Tx) error {
		if err := tx.QueryRowContext(ctx, "INSERT INTO backup (file, made) VALUES (?, ?) RETURNING id", file, a.stamp()).Scan(&id); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "INSERT INTO backup_athlete SELECT ?, id FROM athlete", id)
		return err
	})
	return id, err
}

func writeZip(ctx context.Context, to string, files []entry, tell func(done, total int)) error {
	full := fmt.Errorf("the file could not be written (is the disk full?)")
	f, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return full
	}
	defer f.Close()
	z := zip.NewWriter(f)
	hashes := map[string]string{}
	for i, e := range files {
		method := zip.Deflate
		if dir := path.Dir(e.name); dir == clips || dir == pictures || dir == incoming {
			method = zip.Store // packed already
		}
		w, err := z.CreateHeader(&zip.FileHeader{Name: e.name, Method: method})
		if err != nil {
			return full
		}
		in, err := e.open()
		if err != nil {
			return fmt.Errorf("the file %s of the archive is missing; see what else is with steadfall archive check", e.name)
		}
		h := sha256.New()
		_, err = io.Copy(io.MultiWriter(w, h), &interruptible{ctx, in})
		in.Close()
		if errors.Is(err, context.Canceled) {
			return err
		}
		if err != nil {
			return full
		}
		hashes[e.name] = hex.EncodeToString(h.Sum(nil))
		if tell != nil {
			tell(i+1, len(files))
		}
	}
	w, err := z.Create(manifest)
	if err != nil {
		return full
	}
	if err := json.NewEncoder(w).Encode(hashes); err != nil {
		return full
	}
	for _, end := range []func() error{z.Close, f.Sync, f.Close} {
		if err := end(); err != nil {
			return full
		}
	}
	return nil
}

// Restore makes an archive in a new or empty folder from a backup. Every file is compared
// with its hash; a backup that is damaged leaves nothing behind.
func Restore(ctx context.Context, from, dir string) error {
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return fmt.Errorf("the folder %q is not empty; restore into a new one, so that nothing is overwritten", dir)
	}
	z, err := zip.OpenReader(from)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no backup %q; check the name and the folder", from)
	}
	if err != nil {
		return fmt.Errorf("%q is not a backup made by steadfall archive backup, or it is damaged; try another one", from)
	}
	defer z.Close()
	parent := filepath.Dir(filepath.Clean(dir))
	tmp, err := os.MkdirTemp(parent, ".steadfall-restore-*")
	if err != nil {
		return fmt.Errorf("nothing can be written into the folder %q; check that it exists and may be written to", parent)
	}
	defer os.RemoveAll(tmp)
	if err := unpack(ctx, &z.Reader, from, tmp); err != nil {
		return err
	}
	a, err := Open(ctx, tmp)
	if err != nil {
		return err
	}
	var c Checked
	if err = a.newMark(ctx); err == nil {
		c, err = a.Check(ctx, nil)
	}
	a.Close()
	if err != nil {
		return err
	}
	if len(c.Problems) > 0 {
		return fmt.Errorf("the backup %q is damaged (%s); try another one", from, c.Problems[0])
	}
	_ = os.Remove(dir) // an empty folder makes way
	if err := os.Rename(tmp, dir); err != nil {
		return fmt.Errorf("the folder %q could not be made; choose another", dir)
	}
	return nil
}

func unpack(ctx context.Context, z *zip.Reader, from, dir string) error {
	damaged := fmt.Errorf("the backup %q is damaged; try another one", from)
	var hashes map[string]string
	in, err := z.Open(manifest)
	if err != nil {
		return fmt.Errorf("%q is not a backup made by steadfall archive backup", from)
	}
	err = json.NewDecoder(in).Decode(&hashes)
	in.Close()
	if err != nil || hashes[database] == "" {
		return damaged
	}
	for name, want := range hashes {
		if sub := path.Dir(name); name != database && (sub != clips && sub != pictures && sub != incoming || strings.ContainsAny(path.Base(name), `\/:`)) {
			return damaged
		}
		in, err := z.Open(name)
		if err != nil {
			return damaged
		}
		got, err := unpackFile(ctx, in, filepath.Join(dir, name))
		in.Close()
		if err != nil {
			return err
		}
		if got != want {
			return damaged
		}
	}
	return nil
}

func unpackFile(ctx context.Context, in io.Reader, to string) (hash string, err error) {
	if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		return "", err
	}
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return "", err
	}
	defer out.Close()
	h := sha256.New()
	_, err = io.Copy(io.MultiWriter(out, h), &interruptible{ctx, in})
	if e := out.Sync(); err == nil {
		err = e
	}
	switch {
	case errors.Is(err, context.Canceled):
		return "", err
	case errors.Is(err, zip.ErrChecksum), errors.Is(err, io.ErrUnexpectedEOF):
		return "", nil // no hash: damaged
	case err != nil:
		return "", fmt.Errorf("%q could not be written (is the disk full?)", to)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
