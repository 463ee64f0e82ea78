package archive

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// aside is the folder of what Repair has set aside.
const aside = "left-over"

// oldEnough is how old a file must be to be taken for left over: what is younger may belong to
// an addition that goes on.
const oldEnough = time.Hour

// Repaired says what became of the files that belong to nobody.
type Repaired struct {
	To    string   // the folder that they were moved into
	Moved []string // their names in the archive
	Young []string // younger than an hour, and left where they are
}

// Repair moves clips and pictures that belong to nobody out of the way, while nobody else
// adds or removes any. Nothing is deleted, and nothing is moved where the database is not
// the one that the files were kept by.
func (a *Archive) Repair(ctx context.Context) (r Repaired, err error) {
	err = a.alone(ctx, func() error {
		ok, err := a.matches(ctx)
		if err == nil && !ok {
			err = errors.New(foreign + "; nothing was moved")
		}
		if err != nil {
			return err
		}
		names, err := a.leftOver(ctx)
		if err != nil {
			return err
		}
		r.To = filepath.Join(a.dir, aside, a.now().UTC().Format("20060102-150405"))
		for _, name := range names {
			st, err := os.Lstat(filepath.Join(a.dir, name))
			if err == nil && a.now().Sub(st.ModTime()) < oldEnough {
				r.Young = append(r.Young, name)
				continue
			}
			to := filepath.Join(r.To, name)
			if err == nil {
				err = os.MkdirAll(filepath.Dir(to), 0o700)
			}
			if err == nil {
				err = os.Rename(filepath.Join(a.dir, name), to)
			}
			if err != nil {
				return fmt.Errorf("%s could not be moved into %q; check the permissions of the archive's folder", name, r.To)
			}
			r.Moved = append(r.Moved, name)
		}
		return nil
	})
	return r, err
}
