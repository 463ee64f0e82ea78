package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"steadfall/internal/testkit/desktest"
	"steadfall/internal/testkit/synthetic"
	"steadfall/video"
)

// The clip that speed is measured on: 1080 × 1920 px, 60 frames a second, 4.6 s.
const speedClip = "two_foot_knee_in_front"

// cost is what a whole process took, started cold.
type cost struct {
	wall time.Duration
	mb   float64 // most memory at once
}

// spent runs a command so often and gives the median time and the most memory. A child counts
// the memory of the process it was split off from as its own, so GNU time, which has little,
// starts it and counts.
func spent(ctx context.Context, times int, name string, args ...string) (cost, error) {
	var walls []time.Duration
	var c cost
	for range times {
		cmd := exec.CommandContext(ctx, "/usr/bin/time", append([]string{"-q", "-f", "\n%M", name}, args...)...)
		start := time.Now()
		out, err := cmd.CombinedOutput()
		walls = append(walls, time.Since(start))
		if err != nil {
			return c, fmt.Errorf("%s: %w: %s", filepath.Base(name), err, out)
		}
		words := strings.Fields(string(out))
		kb, err := strconv.ParseFloat(words[len(words)-1], 64)
		if err != nil {
			return c, fmt.Errorf("GNU time gives no memory: %w", err)
		}
		c.mb = max(c.mb, kb/1024)
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
	base   video.Placements // the same, read
	truth  synthetic.Truth
}

func newSpeedBench(ctx context.Context, dir string) (speedBench, error) {
	b := speedBench{
		ctx: ctx, dir: dir,
		clip: filepath.Join(clipDir, speedClip+".mp4"), placed: filepath.Join("testdata", "placements", speedClip+".json"), track: filepath.Join(dir, "track.csv"),
	}
	var err error
	if b.tool, err = desktest.Build(dir); err != nil {
		return b, err
	}
	f, err := os.Open(b.placed)
	if err != nil {
		return b, err
	}
	defer f.Close()
	if b.base, err = video.ReadPlacements(f); err != nil {
		return b, err
	}
	all, err := synthetic.Clips(clipDir)
	if err != nil {
		return b, err
	}
	for _, t := range all {
		if t.Name == speedClip {
			b.truth = t
			return b, nil
		}
	}
	return b, fmt.Errorf("%s has no clip %s", clipDir, speedClip)
}

// lasts is how long the clip lasts, s.
func (b speedBench) lasts() float64 { return float64(len(b.truth.Frames)) / b.truth.FPS }

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
	if err := b.reading(t); err != nil {
		return err
	}
	t.Flush()
	fmt.Fprintln(w)
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
		{"/usr/bin/python3", "internal/tools/bench/plain_flow.py", b.clip, b.placed},
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
	row("automatic, to the clip's length", auto, fmt.Sprintf("%.2f", auto.wall.Seconds()/b.lasts()), "at most 1.2")
	row("re-score from a track", rescore, "", "at most 0.15 s")
	row("the same with a report", page, over(page, rescore), "")
	return nil
}

// growth prints a row of a clip of some length: the clip over and over, with its placements.
func (b speedBench) growth(t io.Writer, seconds int) error {
	loops := max(int(float64(seconds)/b.lasts()+0.5), 1)
	clip := filepath.Join(b.dir, "long.mp4")
	if err := ffmpeg(b.ctx, "-stream_loop", fmt.Sprint(loops-1), "-i", b.clip, "-c", "copy", clip); err != nil {
		return err
	}
	defer os.Remove(clip)
	pl := video.Placements{View: b.base.View}
	for k := range loops {
		for _, f := range b.base.Frames {
			pl.Frames = append(pl.Frames, video.PlacedFrame{Frame: f.Frame + k*len(b.truth.Frames), Points: f.Points})
		}
	}
	lasts := float64(loops) * b.lasts()
	row, err := b.followed(fmt.Sprintf("%.0f", lasts), clip, pl)
	if err != nil {
		return err
	}
	auto, err := spent(b.ctx, 1, b.tool, "track", clip, "--view", "front", "-o", filepath.Join(b.dir, "row.csv"))
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(t, "%s\t%.1f\t%.2f\t%.0f\n", row, auto.wall.Seconds(), auto.wall.Seconds()/lasts, auto.mb)
	return err
}

// resolution prints a row of the clip at another size.
func (b speedBench) resolution(t io.Writer, k float64) error {
	clip := filepath.Join(b.dir, "scaled.mp4")
	even := func(n int) int { return int(float64(n)*k/2) * 2 }
	width, height := even(b.truth.Width), even(b.truth.Height)
	if err := ffmpeg(b.ctx, "-i", b.clip, "-vf", fmt.Sprintf("scale=%d:%d", width, height), "-preset", "veryfast", clip); err != nil {
		return err
	}
	pl := video.Placements{View: b.base.View}
	for _, f := range b.base.Frames {
		for l, p := range f.Points {
			p.X, p.Y = (p.X+0.5)*k-0.5, (p.Y+0.5)*k-0.5
			pl.Put(f.Frame, l, p)
		}
	}
	row, err := b.followed(fmt.Sprintf("%d × %d", width, height), clip, pl)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(t, row)
	return err
}

// followed is the row of a clip, once decoded and once followed from placements.
func (b speedBench) followed(name, clip string, pl video.Placements) (string, error) {
	text, err := pl.JSON()
	if err != nil {
		return "", err
	}
	placed := filepath.Join(b.dir, "row.json")
	if err := os.WriteFile(placed, text, 0o644); err != nil {
		return "", err
	}
	decode, err := spent(b.ctx, 1, "ffmpeg", "-v", "error", "-i", clip, "-f", "null", "-")
	if err != nil {
		return "", err
	}
	hand, err := spent(b.ctx, 1, b.tool, "track", clip, "--placer", "none", "--placements", placed, "-o", filepath.Join(b.dir, "row.csv"))
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("%s\t%.1f\t%.1f\t%.2f\t%.0f", name, decode.wall.Seconds(), hand.wall.Seconds(), hand.wall.Seconds()/decode.wall.Seconds(), hand.mb), nil
}

func ffmpeg(ctx context.Context, args ...string) error {
	out, err := exec.CommandContext(ctx, "ffmpeg", append([]string{"-v", "error", "-y"}, args...)...).CombinedOutput()
	if err != nil {
		return fmt.Errorf("ffmpeg: %w: %s", err, out)
	}
	return nil
}
