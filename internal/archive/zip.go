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
	"os"
	"path"

	"steadfall/internal/safefile"
)

// manifest is the last file of a backup: the hash of every other one.
const manifest = "MANIFEST.json"

func unwritten(err error) error {
	return fmt.Errorf("the file could not be written: %s", safefile.Why(err))
}

// unreadable is an entry that could not be read.
type unreadable struct{ name string }

func (u *unreadable) Error() string {
	return fmt.Sprintf("the file %s of the archive is missing or cannot be read; see what else is with steadfall archive check", u.name)
}

// writeZip writes files and the hash of each, which it returns. lost is told of a file that
// cannot be read and says whether to go on without it.
func writeZip(ctx context.Context, to string, files []entry, lost func(*unreadable) error, tell func(done, total int)) (hashes map[string]string, err error) {
	f, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, unwritten(err)
	}
	defer f.Close()
	z := zip.NewWriter(f)
	hashes = map[string]string{}
	for i, e := range files {
		hash, err := zipOne(ctx, z, e)
		var no *unreadable
		switch {
		case errors.As(err, &no):
			if err := lost(no); err != nil {
				return nil, err
			}
		case err != nil:
			return nil, err
		default:
			hashes[e.name] = hash
		}
		if tell != nil {
			tell(i+1, len(files))
		}
	}
	w, err := z.Create(manifest)
	if err != nil {
		return nil, unwritten(err)
	}
	if err := json.NewEncoder(w).Encode(hashes); err != nil {
		return nil, unwritten(err)
	}
	for _, end := range []func() error{z.Close, f.Sync, f.Close} {
		if err := end(); err != nil {
			return nil, unwritten(err)
		}
	}
	return hashes, nil
}

func zipOne(ctx context.Context, z *zip.Writer, e entry) (hash string, err error) {
	in, err := e.open()
	if err != nil {
		return "", &unreadable{e.name}
	}
	defer in.Close()
	method := zip.Deflate
	if dir := path.Dir(e.name); dir == clips || dir == pictures || dir == incoming {
		method = zip.Store // packed already
	}
	w, err := z.CreateHeader(&zip.FileHeader{Name: e.name, Method: method})
	if err != nil {
		return "", unwritten(err)
	}
	h := sha256.New()
	from := &watched{Reader: &interruptible{ctx, in}}
	_, err = io.Copy(io.MultiWriter(w, h), from)
	switch {
	case ctx.Err() != nil:
		return "", ctx.Err()
	case from.err != nil:
		return "", &unreadable{e.name}
	case err != nil:
		return "", unwritten(err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// watched is a reader that keeps the error that ended it, so that it is known from one of
// the writer.
type watched struct {
	io.Reader
	err error
}

func (w *watched) Read(p []byte) (int, error) {
	n, err := w.Reader.Read(p)
	if err != nil && !errors.Is(err, io.EOF) {
		w.err = err
	}
	return n, err
}

// readBack compares every file of a backup on the disk with its hash.
func readBack(ctx context.Context, name string, hashes map[string]string) error {
	bad := errors.New("the backup does not read back as it was written; the disk may be failing, so write it to another one")
	z, err := zip.OpenReader(name)
	if err != nil {
		return bad
	}
	defer z.Close()
	for name, want := range hashes {
		in, err := z.Open(name)
		if err != nil {
			return bad
		}
		h := sha256.New()
		_, err = io.Copy(h, &interruptible{ctx, in})
		in.Close()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil || hex.EncodeToString(h.Sum(nil)) != want {
			return bad
		}
	}
	return nil
}
