package main

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"steadfall/internal/pipeline"
	"steadfall/internal/worker"
	"steadfall/kinematics"
	"steadfall/video"
)

const (
	shrunk    = 3   // times smaller than filmed, so that thousands of clips take an hour
	frames    = 150 // of the clip that are taken
	byNet     = 20  // every so manieth clip has its points placed by the net
	perClip   = 60 * time.Second
	threads   = 2
	keptAlive = "clips-found" // folder for clips on which something went wrong
)

// kinds are the containers and codecs that are read, as FFmpeg is told to write them.
var kinds = []struct {
	name string
	how  []string
}{
	{"h264.mp4", []string{"-c:v", "libx264"}},
	{"front.mp4", []string{"-c:v", "libx264", "-movflags", "faststart"}},
	{"pieces.mp4", []string{"-c:v", "libx264", "-movflags", "frag_keyframe+empty_moov"}},
	{"mpeg4.mov", []string{"-c:v", "mpeg4", "-q:v", "3"}},
	{"hevc.mov", []string{"-c:v", "libx265", "-tag:v", "hvc1", "-x265-params", "log-level=none"}},
	{"h264.mkv", []string{"-c:v", "libx264"}},
	{"vp9.webm", []string{"-c:v", "libvpx-vp9", "-cpu-used", "8", "-b:v", "1M"}},
}

// tally is what became of the clips.
type tally struct {
	sync.Mutex
	done, scored, wrong, slow int
	off, silent               int            // results that differ from the undamaged clip's; those that do not say why they might
	why                       map[string]int // plain reasons, without what differs
	longest                   time.Duration
}

// mutatedClips gives damaged clips to the worker and prints what became of them.
func mutatedClips(ctx context.Context, program, dir string, n int, seed uint64) error {
	clips, file, err := smallLandings(dir)
	if err != nil {
		return err
	}
	placements, err := placed(file)
	if err != nil {
		return err
	}
	w := worker.Worker{Command: []string{program, "worker"}, Wall: perClip}
	whole := map[string][2][]pipeline.Outcome{} // of each kind, by net and by hand
	for i, k := range kinds {
		var both [2][]pipeline.Outcome
		for hand := range both {
			// Undamaged, each must give a result, or the rest would show little.
			if both[hand], err = w.Score(ctx, request(clipFile(dir, i), placements, hand)); err != nil {
				return fmt.Errorf("%s, undamaged: %w", k.name, err)
			}
		}
		whole[k.name] = both
	}
	t := &tally{why: map[string]int{}}
	jobs := make(chan int)
	var all sync.WaitGroup
	for range threads {
		all.Go(func() {
			for i := range jobs {
				rng := rand.New(rand.NewPCG(seed, uint64(i)))
				k := rng.IntN(len(clips))
				data := mutated(rng, clips[k], clips[rng.IntN(len(clips))])
				t.try(ctx, w, dir, kinds[k].name, placements, i, data, whole[kinds[k].name][min(1, i%byNet)])
			}
		})
	}
	for i := range n {
		if ctx.Err() != nil {
			break
		}
		jobs <- i
	}
	close(jobs)
	all.Wait()
	fmt.Fprintln(os.Stderr)
	t.print()
	if t.wrong > 0 {
		return fmt.Errorf("%d clips ended in no plain reason and no valid result; they are in %s", t.wrong, keptAlive)
	}
	return ctx.Err()
}

// try gives one clip to the worker.
func (t *tally) try(ctx context.Context, w worker.Worker, dir, name string, placements *pipeline.Placements, i int, data []byte, whole []pipeline.Outcome) {
	path := filepath.Join(dir, fmt.Sprintf("%05d-%s", i, name))
	err := os.WriteFile(path, data, 0o600)
	if err == nil {
		defer os.Remove(path)
	}
	begun := time.Now()
	var out []pipeline.Outcome
	if err == nil {
		out, err = w.Score(ctx, request(path, placements, i))
	}
	took := time.Since(begun)
	if ctx.Err() != nil {
		return
	}
	t.Lock()
	defer t.Unlock()
	t.done++
	t.longest = max(t.longest, took)
	var no *worker.Refused
	switch {
	case err == nil && valid(out):
		t.scored++
		if far := farOff(out, whole); far != "" {
			t.off++
			if !warned(out, whole) {
				t.silent++
				fmt.Fprintf(os.Stderr, "\nclip %d (%s): %s without a word\n", i, name, far)
				keep(path, data)
			}
		}
	case errors.As(err, &no) && plain(no.Why):
		t.why[withoutNames(no.Why)]++
		if took >= perClip {
			t.slow++
		}
	default:
		t.wrong++
		fmt.Fprintf(os.Stderr, "\nclip %d (%s): %v\n", i, name, err)
		keep(path, data)
	}
	fmt.Fprintf(os.Stderr, "\r%d clips, %d scored, %d wrong ", t.done, t.scored, t.wrong)
}

// keep keeps a clip to be looked at, as well as it can: the seed makes it again.
func keep(path string, data []byte) {
	if os.MkdirAll(keptAlive, 0o755) == nil {
		_ = os.WriteFile(filepath.Join(keptAlive, filepath.Base(path)), data, 0o600)
	}
}

func (t *tally) print() {
	var use syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_CHILDREN, &use) // cannot fail with these arguments
	fmt.Printf("%d damaged clips: %d gave a valid result, %d a plain reason, %d neither; %d ran into the limit of %s.\n", t.done, t.scored, t.done-t.scored-t.wrong, t.wrong, t.slow, perClip)
	fmt.Printf("%d of those results are further from the undamaged clip's than both of their ± allow, %d of them without a word.\n", t.off, t.silent)
	fmt.Printf("The longest took %.1f s; no process took more than %d MB.\n", t.longest.Seconds(), use.Maxrss>>10)
	for _, why := range slices.SortedFunc(maps.Keys(t.why), func(a, b string) int { return cmp.Compare(t.why[b], t.why[a]) }) {
		fmt.Printf("%6d  %s\n", t.why[why], why)
	}
}

// placed are the points of a placements file.
func placed(file string) (*pipeline.Placements, error) {
	s, err := pipeline.Files{Placements: file}.Read(true)
	return s.Placements, err
}

func request(clip string, placements *pipeline.Placements, i int) pipeline.Request {
	r := pipeline.Request{Front: pipeline.Source{Clip: clip, Placements: placements}, Task: kinematics.DropLanding, Limb: kinematics.Both, StatureCM: 172, Points: pipeline.Points{Placer: pipeline.ByHand, AsGiven: true}}
	if i%byNet == 0 {
		r.Front.Placements, r.Points.Placer = nil, "lite"
	}
	return r
}

// valid reports whether results hold together: numbers that JSON can hold, and each finding
// with its words.
func valid(out []pipeline.Outcome) bool {
	for _, o := range out {
		if _, err := json.Marshal(o.Result); err != nil || len(o.Result.Score.Items) == 0 {
			return false
		}
	}
	return len(out) > 0
}

// farOff is a measure that is further from the undamaged clip's than the 95 % intervals of both
// allow, or "".
func farOff(got, whole []pipeline.Outcome) string {
	for _, m := range got[0].Result.Measures {
		for _, w := range whole[0].Result.Measures {
			if m.Name == w.Name && m.Side == w.Side && math.Abs(m.Value-w.Value) > 2*(m.SD+w.SD) {
				return fmt.Sprintf("%s %s %.2f ± %.2f, undamaged %.2f ± %.2f", m.Name, m.Side, m.Value, m.SD, w.Value, w.SD)
			}
		}
	}
	return ""
}

// warned reports whether a result says something that the undamaged clip's does not.
func warned(got, whole []pipeline.Outcome) bool {
	said := func(o pipeline.Outcome) []string { return slices.Concat(o.Result.Doubts, o.Result.Warnings) }
	for _, words := range said(got[0]) {
		if !slices.Contains(said(whole[0]), words) {
			return true
		}
	}
	return false
}

// plain reports whether a reason is a sentence for people.
func plain(why string) bool {
	for _, sign := range []string{"\n", "goroutine", "panic", "0x", "runtime error", "terminate called", ".go:", ".cpp"} {
		if strings.Contains(why, sign) {
			return false
		}
	}
	return why != ""
}

var differing = regexp.MustCompile(`"[^"]*"|[0-9]+(\.[0-9]+)?`)

// withoutNames is a reason without names and numbers, for counting.
func withoutNames(why string) string { return differing.ReplaceAllString(why, "…") }

func clipFile(dir string, kind int) string { return filepath.Join(dir, "whole-"+kinds[kind].name) }

const filmed = "two_foot_knee_in_front"

// smallLandings writes a small landing in every kind and its points into a folder, and
// returns the bytes of the clips and the file of the points.
func smallLandings(dir string) (clips [][]byte, placements string, err error) {
	if clips, err = everyKind(dir); err != nil {
		return nil, "", err
	}
	placements, err = smallPlacements(dir)
	return clips, placements, err
}

// everyKind writes a small landing in every kind and returns the files' bytes.
func everyKind(dir string) ([][]byte, error) {
	var all [][]byte
	for i, k := range kinds {
		args := append([]string{"-v", "error", "-i", filepath.Join("testdata", "clips", filmed+".mp4"), "-an", "-frames:v", fmt.Sprint(frames), "-vf", fmt.Sprintf("scale=iw/%d:ih/%d", shrunk, shrunk), "-pix_fmt", "yuv420p"}, k.how...)
		if out, err := exec.Command("ffmpeg", append(args, clipFile(dir, i))...).CombinedOutput(); err != nil {
			return nil, fmt.Errorf("ffmpeg could not write %s: %s", k.name, out)
		}
		data, err := os.ReadFile(clipFile(dir, i))
		if err != nil {
			return nil, err
		}
		all = append(all, data)
	}
	return all, nil
}

// smallPlacements writes the points of that landing.
func smallPlacements(dir string) (string, error) {
	f, err := os.Open(filepath.Join("testdata", "placements", filmed+".json"))
	if err != nil {
		return "", err
	}
	defer f.Close()
	whole, err := video.ReadPlacements(f)
	if err != nil {
		return "", err
	}
	small := video.Placements{View: whole.View}
	for _, placed := range whole.Frames {
		for l, p := range placed.Points {
			if placed.Frame < frames {
				p.X, p.Y = p.X/shrunk, p.Y/shrunk
				small.Put(placed.Frame, l, p)
			}
		}
	}
	data, err := small.JSON()
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "placements.json")
	return path, os.WriteFile(path, data, 0o600)
}
