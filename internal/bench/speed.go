package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"text/tabwriter"
	"time"

	"steadfall/kinematics"
	"steadfall/video"
)

// The clip that speed is measured on: 1080 × 1920 px, 60 frames a second, 4.6 s.
const speedClip = "two_foot_knee_in_front"

// cost is what a whole process took, started cold.
type cost struct {
	wall time.Duration
	mb   float64 // most memory at once
}

// spent runs a command so often and gives the median time and the most memory.
func spent(ctx context.Context, times int, name string, args ...string) (cost, error) {
	var walls []time.Duration
	var c cost
	for range times {
		cmd := exec.CommandContext(ctx, name, args...)
		start := time.Now()
		if out, err := cmd.CombinedOutput(); err != nil {
			return c, fmt.Errorf("%s: %w: %s", filepath.Base(name), err, out)
		}
		walls = append(walls, time.Since(start))
		c.mb = max(c.mb, float64(cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss)/1024)
	}
	slices.Sort(walls)
	c.wall = walls[len(walls)/2]
	return c, nil
}

// speedBench holds what the rows of the table need.
type speedBench struct {
	ctx    context.Context
	dir    string // of what is made on the way
	tool   string // the program, built
	clip   string
	placed string // placements on it
	track  string
	lasts  float64 // s
	base   video.Placements
}

func newSpeedBench(ctx context.Context, dir string) (speedBench, error) {
	b := speedBench{
		ctx: ctx, dir: dir, tool: filepath.Join(dir, "steadfall"),
		clip: filepath.Join(clipDir, speedClip+".mp4"), placed: filepath.Join("testdata", "placements", speedClip+".json"), track: filepath.Join(dir, "track.csv"),
	}
	if out, err := exec.CommandContext(ctx, "go", "build", "-trimpath", "-o", b.tool, "./cmd/steadfall").CombinedOutput(); err != nil {
		return b, fmt.Errorf("%w: %s", err, out)
	}
	f, err := os.Open(b.placed)
	if err != nil {
		return b, err
	}
	defer f.Close()
	if b.base, err = video.ReadPlacements(f); err != nil {
		return b, err
	}
	b.lasts, err = duration(ctx, b.clip)
	return b, err
}

// speed prints what the tool costs, as ratios measured in one run, each of whole processes
// started cold; long is the length of the long clip, s.
func speed(ctx context.Context, w io.Writer, long int) error {
	dir, err := os.MkdirTemp("", "steadfall-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	b, err := newSpeedBench(ctx, dir)
	if err != nil {
		return err
	}
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	if err := b.ratios(t); err != nil {
		return err
	}
	t.Flush()
	fmt.Fprintln(w)
	fmt.Fprintln(t, "length, s\tplain decoding, s\twith placements, s\tratio\tmemory, MB\tautomatic, s\tratio to its length\tmemory, MB")
	for _, s := range []int{5, 20, long} {
		if err := b.growth(t, s); err != nil {
			return err
		}
	}
	t.Flush()
	fmt.Fprintln(w)
	fmt.Fprintln(t, "picture\tplain decoding, s\twith placements, s\tratio\tmemory, MB")
	for _, k := range []float64{0.5, 1, 2} {
		if err := b.resolution(t, k); err != nil {
			return err
		}
	}
	return t.Flush()
}

const speedRuns = 5

// ratios are the rows of what is promised.
func (b speedBench) ratios(t io.Writer) error {
	score := []string{"score", "--front-track", b.track, "--task", "drop-landing", "--athlete-height-cm", "164", "--limb", "both", "--json", filepath.Join(b.dir, "result.json")}
	var all []cost
	for _, of := range [][]string{
		{"ffmpeg", "-v", "error", "-i", b.clip, "-f", "null", "-"},
		{b.tool, "track", b.clip, "--placer", "none", "--placements", b.placed, "-o", b.track},
		{"/usr/bin/python3", "internal/bench/plain_flow.py", b.clip, b.placed},
		{b.tool, "track", b.clip, "-o", filepath.Join(b.dir, "auto.csv")},
		append([]string{b.tool}, score...),
		append(append([]string{b.tool}, score...), "-o", filepath.Join(b.dir, "report.html")),
	} {
		c, err := spent(b.ctx, speedRuns, of[0], of[1:]...)
		if err != nil {
			return err
		}
		all = append(all, c)
	}
	decode, placed, plain, auto, rescore, page := all[0], all[1], all[2], all[3], all[4], all[5]
	fmt.Fprintln(t, "what\tseconds\tratio\twanted\tmemory, MB")
	row := func(what string, c cost, ratio, wanted string) {
		fmt.Fprintf(t, "%s\t%.2f\t%s\t%s\t%.0f\n", what, c.wall.Seconds(), ratio, wanted, c.mb)
	}
	over := func(a, b cost) string { return fmt.Sprintf("%.2f", a.wall.Seconds()/b.wall.Seconds()) }
	row("plain decoding (ffmpeg)", decode, "1", "")
	row("track with placements, to plain decoding", placed, over(placed, decode), "at most 1.3")
	row("python3-opencv script, to track with placements", plain, over(plain, placed), "at least 3")
	row("automatic, to the clip's length", auto, fmt.Sprintf("%.2f", auto.wall.Seconds()/b.lasts), "at most 1.2")
	row("re-score from a track", rescore, "", "at most 0.15 s")
	row("the same with a report", page, over(page, rescore), "")
	return nil
}

// growth is a row of a clip of some length: the clip over and over, with its placements.
func (b speedBench) growth(t io.Writer, seconds int) error {
	loops := max(int(float64(seconds)/b.lasts+0.5), 1)
	clip, placed := filepath.Join(b.dir, "long.mp4"), filepath.Join(b.dir, "long.json")
	if err := ffmpeg(b.ctx, "-stream_loop", fmt.Sprint(loops-1), "-i", b.clip, "-c", "copy", clip); err != nil {
		return err
	}
	defer os.Remove(clip)
	const frames = 276 // of the clip
	pl := video.Placements{View: b.base.View}
	for k := range loops {
		for _, f := range b.base.Frames {
			pl.Frames = append(pl.Frames, video.PlacedFrame{Frame: f.Frame + k*frames, Points: f.Points})
		}
	}
	if err := writePlacements(placed, pl, 1); err != nil {
		return err
	}
	return b.row(t, clip, placed, fmt.Sprintf("%.0f", float64(loops)*b.lasts), true)
}

// resolution is a row of the clip at another size.
func (b speedBench) resolution(t io.Writer, k float64) error {
	clip, placed := filepath.Join(b.dir, "scaled.mp4"), filepath.Join(b.dir, "scaled.json")
	even := func(v float64) int { return int(v*k/2) * 2 }
	if err := ffmpeg(b.ctx, "-i", b.clip, "-vf", fmt.Sprintf("scale=%d:%d", even(1080), even(1920)), "-preset", "veryfast", clip); err != nil {
		return err
	}
	if err := writePlacements(placed, b.base, k); err != nil {
		return err
	}
	return b.row(t, clip, placed, fmt.Sprintf("%d × %d", even(1080), even(1920)), false)
}

func (b speedBench) row(t io.Writer, clip, placed, name string, auto bool) error {
	decode, err := spent(b.ctx, 1, "ffmpeg", "-v", "error", "-i", clip, "-f", "null", "-")
	if err != nil {
		return err
	}
	out := filepath.Join(b.dir, "row.csv")
	hand, err := spent(b.ctx, 1, b.tool, "track", clip, "--placer", "none", "--placements", placed, "-o", out)
	if err != nil {
		return err
	}
	fmt.Fprintf(t, "%s\t%.1f\t%.1f\t%.2f\t%.0f", name, decode.wall.Seconds(), hand.wall.Seconds(), hand.wall.Seconds()/decode.wall.Seconds(), hand.mb)
	if auto {
		net, err := spent(b.ctx, 1, b.tool, "track", clip, "--view", "front", "-o", out)
		if err != nil {
			return err
		}
		lasts, err := duration(b.ctx, clip)
		if err != nil {
			return err
		}
		fmt.Fprintf(t, "\t%.1f\t%.2f\t%.0f", net.wall.Seconds(), net.wall.Seconds()/lasts, net.mb)
	}
	fmt.Fprintln(t)
	return nil
}

// writePlacements writes placements with their points scaled by k.
func writePlacements(path string, pl video.Placements, k float64) error {
	type frame struct {
		Frame  int                                `json:"frame"`
		Points map[kinematics.Landmark][2]float64 `json:"points"`
	}
	out := struct {
		View       kinematics.View `json:"view"`
		Placements []frame         `json:"placements"`
	}{View: pl.View}
	for _, f := range pl.Frames {
		g := frame{f.Frame, map[kinematics.Landmark][2]float64{}}
		for l, p := range f.Points {
			g.Points[l] = [2]float64{(p.X+0.5)*k - 0.5, (p.Y+0.5)*k - 0.5}
		}
		out.Placements = append(out.Placements, g)
	}
	text, err := json.Marshal(out)
	if err != nil {
		return err
	}
	return os.WriteFile(path, text, 0o644)
}

func ffmpeg(ctx context.Context, args ...string) error {
	out, err := exec.CommandContext(ctx, "ffmpeg", append([]string{"-v", "error", "-y"}, args...)...).CombinedOutput()
	if err != nil {
		return fmt.Errorf("ffmpeg: %w: %s", err, out)
	}
	return nil
}

// duration is how long a clip lasts, s.
func duration(ctx context.Context, clip string) (float64, error) {
	out, err := exec.CommandContext(ctx, "ffprobe", "-v", "error", "-show_entries", "format=duration", "-of", "csv=p=0", clip).Output()
	if err != nil {
		return 0, fmt.Errorf("ffprobe: %w", err)
	}
	var s float64
	_, err = fmt.Sscan(strings.TrimSpace(string(out)), &s)
	return s, err
}
