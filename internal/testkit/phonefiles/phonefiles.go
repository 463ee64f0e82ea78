// Package phonefiles makes the files that phones leave, for tests: one rendered landing, stored
// in the ways in which camera programs, galleries and editors store one. Shown as their files
// say, all are the same upright picture. FFmpeg's command makes them and tells what is shown.
package phonefiles

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"

	"steadfall/testdata/clips"
)

// The landing, on the right foot from a box. Of the bundled front views its measures change least
// when the clip is only written anew (H.264, crf 10 to 23, 540 pixels wide): the knee angle by
// 0.4°, depth by 0.5 cm, contact by 0.002 s. Depth of two_foot_knee_in_front changes by 1.2 cm then.
const (
	Clip      = "one_foot_held_front"
	StatureCM = 185.0
)

// The plain file, as which all others are shown unless they say otherwise.
const (
	width, height = 540, 960
	rateHz        = 60.0
	frames        = 144
)

// The stock is the part of the clip that files are made of, s of the clip; what a file shows, s
// of the stock, leaves something to be hidden before it and after.
const (
	stockFromS, stockToS = 0.2, 3.4
	shownFromS, shownToS = 0.4, 2.8
)

// Folder is where files are made, each of them once.
type Folder string

// Make returns the path of a case's file and makes it if it is not there.
func (dir Folder) Make(ctx context.Context, c Case) (string, error) {
	return dir.once(c.Name+"."+c.ending(), func(path string) error {
		from, err := dir.source(ctx, c)
		if err != nil {
			return err
		}
		if _, err := run(ctx, "ffmpeg", slices.Concat([]string{"-y"}, from, c.Args, []string{path})...); err != nil {
			return fmt.Errorf("%s: %w", c.Name, err)
		}
		if c.Patch == nil {
			return nil
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if err := c.Patch(data); err != nil {
			return fmt.Errorf("%s: %w", c.Name, err)
		}
		return os.WriteFile(path, data, 0o600)
	})
}

// source is what a case is made of, as arguments of ffmpeg.
func (dir Folder) source(ctx context.Context, c Case) ([]string, error) {
	if c.From != "" {
		path, err := dir.Make(ctx, Named(c.From))
		return []string{"-i", path}, err
	}
	stock, err := dir.once("stock.mp4", func(path string) error { return makeStock(ctx, path) })
	from, to := shownFromS-c.HiddenS[0], shownToS+c.HiddenS[1]
	return []string{"-ss", fmt.Sprint(from), "-t", fmt.Sprint(to - from), "-i", stock}, err
}

// makeStock writes the stock from the clip that is bundled, hardly compressed.
func makeStock(ctx context.Context, path string) error {
	film, err := fs.ReadFile(clips.Files, Clip+".mp4")
	if err != nil {
		return err
	}
	whole := path + ".whole.mp4"
	if err := os.WriteFile(whole, film, 0o600); err != nil {
		return err
	}
	_, err = run(ctx, "ffmpeg", "-y", "-ss", fmt.Sprint(stockFromS), "-to", fmt.Sprint(stockToS), "-i", whole, "-vf", fmt.Sprintf("scale=%d:%d", width, height),
		"-c:v", "libx264", "-preset", "ultrafast", "-tune", "fastdecode", "-crf", "6", "-g", "12", path)
	return errors.Join(err, os.Remove(whole))
}

// once makes a file of the folder unless it is there; one that fails half-way does not stay.
func (dir Folder) once(name string, fill func(path string) error) (string, error) {
	path := filepath.Join(string(dir), name)
	if _, err := os.Stat(path); err == nil {
		return path, nil
	}
	unfinished := filepath.Join(string(dir), "unfinished "+name)
	if err := fill(unfinished); err != nil {
		return "", err
	}
	return path, os.Rename(unfinished, path)
}

// run returns what one of FFmpeg's commands writes.
func run(ctx context.Context, name string, args ...string) ([]byte, error) {
	cmd := exec.CommandContext(ctx, name, append([]string{"-v", "error"}, args...)...)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("%s: %w: %s", name, err, said.Bytes())
	}
	return out, nil
}
