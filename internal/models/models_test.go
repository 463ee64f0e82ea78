package models

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// IEEE 754-2008, binary16: the values of Table 3.5's parameters (largest, smallest
// normal, smallest subnormal) and plain ones.
func TestHalf(t *testing.T) {
	for bits, want := range map[uint16]float64{
		0x3c00: 1, 0xc000: -2, 0x7bff: 65504, 0x0400: math.Ldexp(1, -14), 0x0001: math.Ldexp(1, -24), 0x3555: 0.333251953125, 0x7c00: math.Inf(1),
	} {
		if got := float64(half(bits)); got != want {
			t.Errorf("half(%#04x) = %v, want %v", bits, got, want)
		}
	}
}

// The rule of TensorFlow for SAME padding: ceil(length/stride) outputs, the odd pixel
// after (tensorflow.org, tf.nn, "Notes on padding").
func TestSamePadding(t *testing.T) {
	for _, c := range []struct{ length, kernel, stride, before, after int }{
		{256, 3, 2, 0, 1}, {224, 5, 2, 1, 2}, {64, 3, 1, 1, 1}, {7, 1, 1, 0, 0}, {13, 6, 5, 1, 2},
	} {
		if b, a := same(c.length, c.kernel, c.stride); b != c.before || a != c.after {
			t.Errorf("same(%d, %d, %d) = %d, %d, want %d, %d", c.length, c.kernel, c.stride, b, a, c.before, c.after)
		}
	}
}

func TestTransposed(t *testing.T) {
	a := array{[]int{1, 2, 3}, []float32{1, 2, 3, 4, 5, 6}}
	b := a.transposed(2, 0, 1)
	if want := []float32{1, 4, 2, 5, 3, 6}; !equal(b.v, want) || b.shape[0] != 3 || b.shape[2] != 2 {
		t.Errorf("%v", b)
	}
}

func equal(a, b []float32) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// What is not the pinned package is refused, and nothing is written.
func TestGetRefusesAnotherPackage(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("STEADFALL_NETS", filepath.Join(dir, "nets"))
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	w := tar.NewWriter(z)
	body := []byte("weights of somebody else")
	for _, r := range recipes {
		if err := w.WriteHeader(&tar.Header{Name: "package/" + r.file, Size: int64(len(body)), Mode: 0o644}); err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(body); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(w.Close(), z.Close()); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"other.tgz": b.Bytes(), "text.tgz": []byte("no archive"), "cut.tgz": b.Bytes()[:b.Len()/2]} {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, data, 0o644); err != nil {
			t.Fatal(err)
		}
		if err := Get(context.Background(), []string{file}, func(string) {}); err == nil || !strings.Contains(err.Error(), "fetch") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "nets")); err == nil {
		t.Error("something was written")
	}
}

// A net that is missing or not the one that was tested is not loaded.
func TestLoadChecksTheSum(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("STEADFALL_NETS", dir)
	if _, err := Load(Full, false); !errors.Is(err, ErrMissing) {
		t.Errorf("missing: %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, "full.onnx"), []byte("damaged"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(Full, false); err == nil || errors.Is(err, ErrMissing) || !strings.Contains(err.Error(), Command) {
		t.Errorf("damaged: %v", err)
	}
}

// An installed program finds the nets of its package, unless the user has nets of their own.
func TestFolderOfAPackage(t *testing.T) {
	t.Setenv("STEADFALL_NETS", "")
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	share := filepath.Join(filepath.Dir(program), "..", "share")
	packed := filepath.Join(share, "steadfall", "nets")
	own := filepath.Join(os.Getenv("XDG_CACHE_HOME"), "steadfall", "nets")
	look := func(want string) {
		t.Helper()
		if dir, err := Folder(); err != nil || dir != want {
			t.Errorf("%s, %v; want %s", dir, err, want)
		}
	}
	look(own)
	defer os.RemoveAll(share) // beside the test program, in the build's own folder
	for _, dir := range []string{packed, own} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		look(dir)
	}
}

// A library that is missing leaves the nets to OpenCV; one that is not the one that was tested is never
// loaded.
func TestRuntimeChecksTheSum(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("STEADFALL_NETS", dir)
	if _, err := Runtime(); !errors.Is(err, ErrNoRuntime) {
		t.Errorf("missing: %v", err)
	}
	if err := Slow(); err != nil {
		t.Errorf("without nets nothing is slow: %v", err)
	}
	if err := os.WriteFile(fileOf(dir, Full, true), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Slow(); !errors.Is(err, ErrNoRuntime) {
		t.Errorf("nets without what runs them: %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, libraryFile), []byte("damaged"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Runtime(); err == nil || errors.Is(err, ErrNoRuntime) || !strings.Contains(err.Error(), Command) {
		t.Errorf("damaged: %v", err)
	}
}
