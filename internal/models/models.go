// Package models gets the nets that place points automatically, and the library that runs
// them, and keeps them in the user's cache folder. The weights come from a pinned package of the
// npm registry (Apache-2.0) as TensorFlow Lite files and are converted to ONNX once; the
// library, ONNX Runtime, from another (MIT). Every file is known by its sum: one that differs is
// neither converted nor loaded.
package models

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
)

// The npm packages that the weights and the library come from, with their versions pinned.
const (
	Package        = "@mediapipe/pose@0.5.1675469404"
	RuntimePackage = "onnxruntime-node@1.23.2"
)

// Command gets the nets.
const Command = "steadfall models"

// Net is one of the nets.
type Net string

// The nets: one finds people in a picture, the others place the points of one
// person, more slowly and more surely the heavier they are.
const (
	Detector Net = "detector"
	Lite     Net = "lite"
	Full     Net = "full"
	Heavy    Net = "heavy"
)

// recipe is how a net is made from a file of the package. Sums are SHA-256.
type recipe struct {
	net     Net
	file    string
	fileSum string
	outputs []int  // tensors the converted net gives
	sum     string // of the net that ONNX Runtime reads
	cvSum   string // of the one that OpenCV reads
}

// recipes are all nets. The detector gives, for cells of 8, 16 and 32 pixels, boxes
// with body points and then scores; the others the points, whether a person is there,
// and the heat maps.
var recipes = []recipe{
	{Detector, "pose_solution_packed_assets.data", "a63c614bef30d35947f13be361820b1e4e3bec9cfeebf4d11216a18373108e85", []int{391, 415, 439, 379, 404, 427}, "ed3a5bd8cd743115e9bbdfb71375a0e4aa077b77fa2ee28012d0322ab54454f0", "fc9a6fac1a2cc36ef0b881466ccd2e36ca520efe7d8294a7cce6ca47f6bf0c0f"},
	{Lite, "pose_landmark_lite.tflite", "f17bfbecadb61c3be1baa8b8d851cc6619c870a87167b32848ad20db306b9d61", []int{310, 315, 283}, "a143f4e789752c7d1aed39159cd5e1f480b6095107293800ce0fe44244722098", "db60e4415ad99dfc91831b2685351f0197f43ed5ac55d96c0ce68a3251f6a22f"},
	{Full, "pose_landmark_full.tflite", "e9a5c5cb17f736fafd4c2ec1da3b3d331d6edbe8a0d32395855aeb2cdfd64b9f", []int{337, 342, 298}, "f888f117e5985cc14f45c7e56a6ce31bd93120638a9339cc1d7597fa12d12651", "970e3ac5f3df82bd1c8612ede8ac6159eda31cc64f2bf84d1c14937f1206e91b"},
	{Heavy, "pose_landmark_heavy.tflite", "59e42d71bcd44cbdbabc419f0ff76686595fd265419566bd4009ef703ea8e1fe", []int{696, 701, 641}, "7b315987ce1d0c037c7f8d659751f1f739bd4ecf5f7cca9767c334ad52e730a1", "eccbf22ab604af14bbacd5ab5d29c1752744887182c0f5a2601fe7d357262d06"},
}

//go:embed LICENSE
var licence []byte

//go:embed NOTICE
var notice []byte

// libraries are where ONNX Runtime lies in its package, and its sum, by the processor.
var libraries = map[string]struct{ file, sum string }{
	"amd64": {"bin/napi-v6/linux/x64/libonnxruntime.so.1", "733854c3d7ce45256cc1c22cd4a30373247e1f7b7de8f40beab24211ef8e2a76"},
	"arm64": {"bin/napi-v6/linux/arm64/libonnxruntime.so.1", "648ffa64fbe027ae27139109410900cf776a030dec2dbbac51053318cc44c286"},
}

// libraryFile is what it is called in the folder of the nets.
const libraryFile = "libonnxruntime.so.1"

//go:embed LICENSE.onnxruntime
var runtimeLicence []byte

// ErrMissing says that a net is not in the cache folder.
var ErrMissing = errors.New("the nets that place points automatically are not on this machine; get them once with: " + Command)

// Folder is where the nets are read from: the folder that STEADFALL_NETS names, else
// steadfall/nets in the user's cache folder, else those that an installed package has.
func Folder() (string, error) {
	dir, err := own()
	if err == nil {
		if _, err := os.Stat(dir); err == nil || os.Getenv(folderVariable) != "" {
			return dir, nil
		}
	}
	if program, err := os.Executable(); err == nil {
		packed := filepath.Join(filepath.Dir(program), "..", "share", "steadfall", "nets")
		if _, err := os.Stat(packed); err == nil {
			return packed, nil
		}
	}
	return dir, err
}

// folderVariable is the environment variable that names another folder.
const folderVariable = "STEADFALL_NETS"

// own is the folder that nets are put into.
func own() (string, error) {
	if dir := os.Getenv(folderVariable); dir != "" {
		return dir, nil
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", errors.New("there is no cache folder for the nets; name one in " + folderVariable)
	}
	return filepath.Join(cache, "steadfall", "nets"), nil
}

// Load returns the bytes of a net in ONNX form after checking their sum; forOpenCV in the form that
// OpenCV 4.6 reads.
func Load(net Net, forOpenCV bool) ([]byte, error) {
	dir, err := Folder()
	if err != nil {
		return nil, err
	}
	name, want := fileOf(dir, net, forOpenCV), recipeOf(net).sumFor(forOpenCV)
	data, err := os.ReadFile(name)
	if errors.Is(err, os.ErrNotExist) {
		return nil, ErrMissing
	}
	if err != nil {
		return nil, fmt.Errorf("the net %q cannot be read; check its permissions, or get it again with: %s", name, Command)
	}
	if sumOf(data) != want {
		return nil, fmt.Errorf("the net %q is damaged or of another version; get it again with: %s", name, Command)
	}
	return data, nil
}

// ErrNoRuntime says that the library is not on this machine, or none is made for its processor.
var ErrNoRuntime = errors.New("ONNX Runtime, which runs the nets four times as fast as OpenCV, is not on this machine; get it once with: " + Command)

// Runtime returns the file of ONNX Runtime's library after checking its sum.
func Runtime() (string, error) {
	library, ok := libraries[runtime.GOARCH]
	if !ok {
		return "", ErrNoRuntime
	}
	dir, err := Folder()
	if err != nil {
		return "", err
	}
	name := filepath.Join(dir, libraryFile)
	f, err := os.Open(name)
	if err != nil {
		return "", ErrNoRuntime
	}
	defer f.Close()
	sum := sha256.New() // of a file of 33 MB, which is not held to be looked at
	if _, err := io.Copy(sum, f); err != nil || hex.EncodeToString(sum.Sum(nil)) != library.sum {
		return "", fmt.Errorf("the library %q is damaged or of another version; get it again with: %s", name, Command)
	}
	return name, nil
}

// Slow returns why the nets, which are on this machine, will run slowly; nil where they will not.
func Slow() error {
	dir, err := Folder()
	if err != nil {
		return nil
	}
	if _, err := os.Stat(fileOf(dir, Full, true)); err != nil {
		return nil
	}
	if _, err := os.Stat(filepath.Join(dir, libraryFile)); err != nil {
		return ErrNoRuntime
	}
	return nil
}

// Complete reports whether all nets are in the cache folder, unharmed, and the library where there is
// one for this processor.
func Complete() bool {
	for _, r := range recipes {
		for _, forOpenCV := range []bool{false, true} {
			if _, err := Load(r.net, forOpenCV); err != nil {
				return false
			}
		}
	}
	_, made := libraries[runtime.GOARCH]
	_, err := Runtime()
	return !made || err == nil
}

func fileOf(dir string, net Net, forOpenCV bool) string {
	if forOpenCV {
		net += "-opencv"
	}
	return filepath.Join(dir, string(net)+".onnx")
}

func (r recipe) sumFor(openCV bool) string {
	if openCV {
		return r.cvSum
	}
	return r.sum
}

func recipeOf(net Net) recipe {
	for _, r := range recipes {
		if r.net == net {
			return r
		}
	}
	return recipe{}
}

func sumOf(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}

// Outputs names what a net gives, in order.
func Outputs(net Net) []string {
	var out []string
	for _, t := range recipeOf(net).outputs {
		out = append(out, name(t))
	}
	return out
}
