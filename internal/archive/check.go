package archive

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"steadfall/kinematics"
)

// Checked is what a check of an archive found.
type Checked struct {
	Trials   int
	Files    int
	Problems []string // plain sentences; none when the archive is sound
	LeftOver []string // files that belong to nobody; Repair sets them aside
	Pending  int      // files of a cut-off addition or deletion; Open finishes it
}

// Check reads everything in the archive, and changes nothing: the database page by page,
// every track and draw, and every file against its content's hash.
func (a *Archive) Check(ctx context.Context, tell func(done, total int)) (Checked, error) {
	var c Checked
	var err error
	if c.Problems, err = a.checkDatabase(ctx); err != nil {
		return c, err
	}
	ids, err := gather(ctx, a, func(rows *sql.Rows, id *int64) error { return rows.Scan(id) }, "SELECT id FROM trial ORDER BY id")
	if err != nil {
		return c, err
	}
	for i, id := range ids {
		if err := ctx.Err(); err != nil {
			return c, err
		}
		c.Trials++
		if why := a.checkTrial(ctx, id); why != "" && a.still(ctx, id) {
			c.Problems = append(c.Problems, fmt.Sprintf("trial %d: %s", id, why))
		}
		if tell != nil {
			tell(i+1, len(ids))
		}
	}
	if ok, err := a.matches(ctx); err != nil {
		return c, err
	} else if !ok {
		c.Problems = append(c.Problems, foreign)
	}
	if c.Pending, err = a.unfinished(ctx); err != nil {
		return c, err
	}
	return c, a.checkFiles(ctx, &c)
}

// checkDatabase reads the database page by page and says what is damaged.
func (a *Archive) checkDatabase(ctx context.Context) (problems []string, err error) {
	for _, pragma := range []string{"integrity_check", "foreign_key_check"} {
		rows, err := a.db.QueryContext(ctx, "PRAGMA "+pragma)
		if err != nil {
			return problems, a.plain(err)
		}
		for rows.Next() {
			var words string
			if pragma == "integrity_check" {
				err = rows.Scan(&words)
			}
			if err == nil && words != "ok" {
				problems = append(problems, "the database is damaged: "+words)
			}
		}
		err = rows.Err()
		rows.Close()
		if err != nil {
			return problems, a.plain(err)
		}
	}
	return problems, nil
}

// foreign is what is wrong where files may only seem to be nobody's.
const foreign = "the database squad.db is not the one that the clips and pictures beside it were kept by, but an older or another one; put the right one back, or restore a backup into a new folder with steadfall archive restore"

// checkTrial says what is wrong with the rows of a trial, or nothing.
func (a *Archive) checkTrial(ctx context.Context, id int64) string {
	type view struct {
		view    kinematics.View
		options string
		track   []byte
	}
	views, err := gather(ctx, a, func(rows *sql.Rows, v *view) error { return rows.Scan(&v.view, &v.options, &v.track) },
		"SELECT view, options, track FROM view WHERE trial = ?", id)
	if err != nil {
		return err.Error()
	}
	if len(views) == 0 {
		return "has no view"
	}
	for _, v := range views {
		if _, err := unpackTrack(v.track, v.view); err != nil {
			return "its track cannot be read: " + err.Error()
		}
		if _, err := unpackOptions(v.options); err != nil {
			return "its settings cannot be read"
		}
	}
	results, err := a.Results(ctx, id)
	if err != nil {
		return "its results cannot be read: " + err.Error()
	}
	if len(results) == 0 {
		return "has no result"
	}
	return ""
}

// still reports whether a trial is there even now: one that somebody deleted while it was looked
// at has nothing wrong with it. Where that cannot be told, the trouble stands.
func (a *Archive) still(ctx context.Context, trial int64) bool {
	var yes bool
	err := a.db.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM trial WHERE id = ?)", trial).Scan(&yes)
	return yes || err != nil
}

// keptFiles are the clips and pictures that trials have, by their names in the folder.
func (a *Archive) keptFiles(ctx context.Context) ([]string, error) {
	return gather(ctx, a, func(rows *sql.Rows, s *string) error { return rows.Scan(s) },
		"SELECT DISTINCT ? || clip FROM view WHERE clip <> '' UNION SELECT ? || file FROM picture", clips+"/", pictures+"/")
}

// checkFiles compares clips and pictures with what the trials say of them.
func (a *Archive) checkFiles(ctx context.Context, c *Checked) error {
	named, err := a.keptFiles(ctx)
	if err != nil {
		return err
	}
	for _, name := range named {
		c.Files++
		hash, err := HashFile(ctx, filepath.Join(a.dir, name))
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			if used, e := a.used(ctx, name); used || e != nil {
				c.Problems = append(c.Problems, fmt.Sprintf("the file %s is missing", name))
			}
		case !isNamedBy(name, hash):
			c.Problems = append(c.Problems, fmt.Sprintf("the file %s is not what it was when it came in", name))
		}
	}
	c.LeftOver, err = a.leftOver(ctx)
	return err
}

// leftOver are the files that nobody has, by their names in the folder. What is down to be
// wiped is not left over: somebody adds or deletes it just then, or Open finishes that.
func (a *Archive) leftOver(ctx context.Context) (names []string, err error) {
	for _, sub := range []string{clips, pictures, incoming} {
		entries, err := os.ReadDir(filepath.Join(a.dir, sub))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("the archive %q cannot be read; check that you may read the folder", a.dir)
		}
		for _, e := range entries {
			name := sub + "/" + e.Name()
			// Both in one question: between two, what is added would be down no more and not yet used.
			var known bool
			if err := a.db.QueryRowContext(ctx, "SELECT EXISTS ("+usedFile+") OR EXISTS (SELECT 1 FROM wipe WHERE file = ?2)", e.Name(), name).Scan(&known); err != nil {
				return nil, a.plain(err)
			}
			if _, err := os.Lstat(filepath.Join(a.dir, name)); err == nil && !known {
				names = append(names, name)
			}
		}
	}
	return names, nil
}

// HashFile is the SHA-256 of a file's content in hexadecimal.
func HashFile(ctx context.Context, name string) (string, error) {
	f, err := os.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, &interruptible{ctx, f}); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// interruptible is a reader that ends when its work is cancelled.
type interruptible struct {
	ctx context.Context
	io.Reader
}

func (r *interruptible) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.Read(p)
}
