package archive

import (
	"archive/zip"
	"context"
	"crypto/sha256"
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

	"steadfall/internal/bounded"
	"steadfall/internal/safefile"
)

// Restore makes an archive in a new or empty folder from a backup. Every file is compared
// with its hash. lost says in plain sentences what is not as it was; a backup whose database
// is damaged leaves nothing behind.
func Restore(ctx context.Context, from, dir string) (lost []string, err error) {
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return nil, fmt.Errorf("the folder %q is not empty; restore into a new one, so that nothing is overwritten", dir)
	}
	z, err := zip.OpenReader(from)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no backup %q; check the name and the folder", from)
	}
	if err != nil {
		return nil, fmt.Errorf("%q is not a backup made by steadfall archive backup, or it is damaged; try another one", from)
	}
	defer z.Close()
	tmp, clear, err := workplace(filepath.Dir(filepath.Clean(dir)), restoreWork)
	if err != nil {
		return nil, err
	}
	defer clear()
	if err := unpack(ctx, &z.Reader, from, tmp); err != nil {
		return nil, err
	}
	if lost, err = adopt(ctx, from, tmp); err != nil {
		return nil, err
	}
	_ = os.Remove(dir) // an empty folder makes way
	if err := os.Rename(tmp, dir); err != nil {
		return nil, fmt.Errorf("the folder %q could not be made; choose another", dir)
	}
	return lost, nil
}

// adopt makes what was unpacked an archive of its own, and says what is not as it was.
func adopt(ctx context.Context, from, dir string) (lost []string, err error) {
	a, err := Open(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer a.Close()
	bad, err := a.checkDatabase(ctx)
	if err == nil && len(bad) > 0 {
		err = fmt.Errorf("the backup %q is damaged (%s); try another one", from, bad[0])
	}
	if err != nil {
		return nil, err
	}
	if err := a.newMark(ctx); err != nil {
		return nil, err
	}
	if err := a.finish(ctx); err != nil { // a deletion during which the backup was made
		return nil, err
	}
	if _, err := a.db.ExecContext(ctx, "UPDATE backup SET whole = 1"); err != nil { // the one that it came from
		return nil, a.plain(err)
	}
	c, err := a.Check(ctx, nil)
	return c.Problems, err
}

// mostManifest is more than the manifest of half a million files takes, bytes.
const mostManifest = 64 << 20

// unpack writes the files of a backup into a folder, but for those that are damaged.
func unpack(ctx context.Context, z *zip.Reader, from, dir string) error {
	damaged := fmt.Errorf("the backup %q is damaged; try another one", from)
	var hashes map[string]string
	in, err := z.Open(manifest)
	if err != nil {
		return fmt.Errorf("%q is not a backup made by steadfall archive backup", from)
	}
	text, err := bounded.Read(in, mostManifest)
	in.Close()
	if err == nil {
		err = errors.Join(bounded.JSON(text), json.Unmarshal(text, &hashes))
	}
	if err != nil || hashes[database] == "" {
		return damaged
	}
	for name := range hashes {
		if sub := path.Dir(name); name != database && (sub != clips && sub != pictures && sub != incoming || strings.ContainsAny(path.Base(name), `\/:`)) {
			return damaged
		}
	}
	for name, want := range hashes {
		got := ""
		if in, err := z.Open(name); err == nil {
			got, err = unpackFile(ctx, in, filepath.Join(dir, name))
			in.Close()
			if err != nil {
				return err
			}
		}
		switch {
		case got == want:
		case name == database:
			return damaged
		default: // the rest is as good without it, and checking says which it was
			_ = os.Remove(filepath.Join(dir, name))
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
		return "", fmt.Errorf("%q could not be written: %s", to, safefile.Why(err))
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
