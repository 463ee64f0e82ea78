package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"steadfall/internal/safefile"
)

// markFile tells beside the clips and pictures which database they were kept by.
const markFile = "squad.mark"

// mark is what the database and the mark beside it have in common.
type mark struct {
	name  string
	files int64 // how often files were added
}

// added counts one more time that files were added.
func added(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, "UPDATE mark SET files = files + 1")
	return err
}

// marks returns the mark of the database and the one beside it, which is empty where there
// is none.
func (a *Archive) marks(ctx context.Context) (in, beside mark, err error) {
	if err := a.db.QueryRowContext(ctx, "SELECT name, files FROM mark").Scan(&in.name, &in.files); err != nil {
		return in, beside, a.plain(err)
	}
	text, err := os.ReadFile(filepath.Join(a.dir, markFile))
	if errors.Is(err, fs.ErrNotExist) {
		return in, beside, nil
	}
	if err == nil {
		_, err = fmt.Sscan(string(text), &beside.name, &beside.files)
	}
	if err != nil {
		err = fmt.Errorf("the file %s of the archive %q cannot be read; restore a backup with steadfall archive restore", markFile, a.dir)
	}
	return in, beside, err
}

// matches reports whether the database is the one that the files were kept by, and not an
// older copy of it, which would not know the newer ones.
func (a *Archive) matches(ctx context.Context) (bool, error) {
	in, beside, err := a.marks(ctx)
	return err == nil && in.name == beside.name && in.files >= beside.files, err
}

// setMark brings the mark beside the files up to the database, after files were added. It
// makes one where there is none only for a database that never had one.
func (a *Archive) setMark(ctx context.Context) error {
	in, beside, err := a.marks(ctx)
	if err != nil {
		return err
	}
	first := beside.name == "" && in.files == 0
	behind := beside.name == in.name && beside.files < in.files
	if !first && !behind {
		return nil
	}
	return a.writeMark(in)
}

// newMark makes this database the one that the files beside it belong to.
func (a *Archive) newMark(ctx context.Context) error {
	var m mark
	if err := a.db.QueryRowContext(ctx, "UPDATE mark SET name = lower(hex(randomblob(16))), files = 0 RETURNING name, files").Scan(&m.name, &m.files); err != nil {
		return a.plain(err)
	}
	return a.writeMark(m)
}

func (a *Archive) writeMark(m mark) error {
	return safefile.Write(filepath.Join(a.dir, markFile), fmt.Appendln(nil, m.name, m.files))
}
