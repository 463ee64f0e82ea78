package main

import (
	"fmt"
	"image"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"time"

	"steadfall/video/clip"
)

// readingFiles are the clips that reading is measured on: bundled ones, one turned by its file,
// and two as heavy as phones write them. args are ffmpeg's, none for the clip itself.
var readingFiles = []struct {
	name, from string
	args       []string
	turned     bool
}{
	{name: "1080 × 1920, 60/s", from: speedClip},
	{name: "1280 × 720, 60/s", from: "two_foot_steady_side"},
	{name: "1280 × 720, 120/s", from: "countermovement_jump_side"},
	{name: "1080 × 1920, stored lying", from: speedClip, args: []string{"-vf", "transpose=cclock", "-c:v", "libx264", "-preset", "veryfast", "-metadata:s:v:0", "rotate=90"}, turned: true},
	{name: "1080 × 1920, 16 Mbit/s", from: speedClip, args: []string{"-vf", "noise=alls=10:allf=t", "-c:v", "libx264", "-preset", "veryfast", "-b:v", "16M", "-maxrate", "16M", "-bufsize", "16M"}},
	{name: "1080 × 1920, 16 Mbit/s, stored lying", from: speedClip, args: []string{"-vf", "noise=alls=10:allf=t,transpose=cclock", "-c:v", "libx264", "-preset", "veryfast", "-b:v", "16M", "-maxrate", "16M", "-bufsize", "16M", "-metadata:s:v:0", "rotate=90"}, turned: true},
	{name: "1080 × 1920, HEVC, 8 Mbit/s", from: speedClip, args: []string{"-vf", "noise=alls=8:allf=t", "-c:v", "libx265", "-preset", "veryfast", "-b:v", "8M", "-x265-params", "log-level=none"}},
}

// reading prints what it takes to read every frame of a clip, its time and its grey picture of
// half the size, against ffmpeg's decoding of it, unturned: the least CPU time of some pairs.
func (b speedBench) reading(t io.Writer) error {
	fmt.Fprintln(t, "reading alone\tMbit/s\tffmpeg, CPU s\tours, CPU s\tratio\twanted")
	for _, c := range readingFiles {
		path := filepath.Join(clipDir, c.from+".mp4")
		if len(c.args) > 0 {
			to := filepath.Join(b.dir, "reading.mp4")
			if err := ffmpeg(b.ctx, append(append([]string{"-i", path}, c.args...), to)...); err != nil {
				return err
			}
			path = to
		}
		st, err := os.Stat(path)
		if err != nil {
			return err
		}
		theirs, ours, lasts := math.Inf(1), math.Inf(1), 0.0
		for range speedRuns {
			cmd := exec.CommandContext(b.ctx, "ffmpeg", "-v", "error", "-threads", "2", "-noautorotate", "-i", path, "-f", "null", "-")
			if out, err := cmd.CombinedOutput(); err != nil {
				return fmt.Errorf("ffmpeg: %w: %s", err, out)
			}
			theirs = min(theirs, (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds())
			before := used()
			if lasts, err = readAll(path); err != nil {
				return err
			}
			ours = min(ours, used()-before)
		}
		wanted := "at most 1.1"
		if c.turned {
			wanted = "at most 1.2"
		}
		fmt.Fprintf(t, "%s\t%.1f\t%.3f\t%.3f\t%.2f\t%s\n", c.name, float64(st.Size())*8/1e6/lasts, theirs, ours, ours/theirs, wanted)
	}
	return nil
}

// readAll reads every frame with its small grey picture and tells how long the clip lasts, s.
func readAll(path string) (lastS float64, err error) {
	film, err := clip.Open(path)
	if err != nil {
		return 0, err
	}
	defer film.Close()
	area := image.Rect(0, 0, film.Width/2*2, film.Height/2*2)
	grey := make([]byte, area.Dx()*area.Dy()/4)
	for {
		p, err := film.Next()
		if err == io.EOF {
			return lastS, nil
		}
		if err != nil {
			return 0, err
		}
		p.Grey(area, 2, grey)
		lastS = p.TimeS
	}
}

// used is the CPU time of this process so far, s.
func used() float64 {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u) // cannot fail with these arguments
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()).Seconds()
}
