package worker_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"math"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"syscall"
	"testing"
	"time"

	"steadfall/internal/pipeline"
	"steadfall/internal/worker"
	"steadfall/kinematics"
	"steadfall/video"
)

// TestMain lets the test program be the child as well, with ways to misbehave.
func TestMain(m *testing.M) {
	if len(os.Args) < 2 || os.Args[1] != "worker" {
		os.Exit(m.Run())
	}
	if err := misbehave(os.Args[2:]); err != nil {
		os.Stderr.WriteString(err.Error())
		os.Exit(1)
	}
	os.Exit(0)
}

func misbehave(how []string) error {
	if len(how) == 0 {
		return worker.Child(context.Background(), os.Stdin, os.Stdout)
	}
	if err := worker.Fence(); err != nil {
		return err
	}
	switch how[0] {
	case "memory":
		var all [][]byte
		for {
			all = append(all, make([]byte, 64<<20))
			all[len(all)-1][0] = 1
		}
	case "unable":
		os.Stdout.WriteString(`{"Unable":"the kernel does not allow it"}` + "\n")
	case "sleep", "still":
		select {}
	case "killed":
		_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
	case "babble":
		for {
			os.Stdout.WriteString(strings.Repeat("x", 4096))
		}
	case "crash":
		var p *int
		*p = 1 //nolint // the point of it
	case "fenced":
		var failed []string
		if _, err := net.Dial("tcp", "127.0.0.1:9"); errors.Is(err, os.ErrPermission) {
			failed = append(failed, "network")
		}
		if err := exec.Command("/bin/true").Run(); errors.Is(err, os.ErrPermission) {
			failed = append(failed, "program")
		}
		if err := os.WriteFile(filepath.Join(os.TempDir(), "steadfall-fence"), []byte("x"), 0o600); err != nil {
			failed = append(failed, "file")
		}
		os.Stdout.WriteString(`{"Failed":"` + strings.Join(failed, ", ") + `"}` + "\n")
	}
	return nil
}

func self(t *testing.T, how ...string) worker.Worker {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return worker.Worker{Command: append([]string{exe, "worker"}, how...)}
}

// placedOn is the clip with the points that somebody placed on it.
func placedOn(t *testing.T, clip string) pipeline.Source {
	t.Helper()
	s, err := pipeline.Files{Clip: clip, Placements: filepath.Join("..", "..", "testdata", "placements", "two_foot_knee_in_front.json")}.Read(true)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The child's answer is what the same call gives here.
func TestScoreIsTheSame(t *testing.T) {
	clip := filepath.Join("..", "..", "testdata", "clips", "two_foot_knee_in_front.mp4")
	if _, err := os.Stat(clip); err != nil {
		t.Fatal(err)
	}
	r := pipeline.Request{Front: placedOn(t, clip), Task: kinematics.DropLanding, Limb: kinematics.Both, StatureCM: 172, Points: pipeline.Points{Placer: pipeline.ByHand}}
	want, err := pipeline.Run(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	r.Tell = func(string, int, int) { told++ }
	got, err := self(t).Score(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	if told == 0 {
		t.Error("no progress was told")
	}
	if !reflect.DeepEqual(got[0].Result, want[0].Result) {
		t.Errorf("the child measured %v, not %v", got[0].Result.Score, want[0].Result.Score)
	}
	if len(got[0].Pictures) != len(want[0].Pictures) || !bytes.Equal(got[0].Pictures[0].Data, want[0].Pictures[0].Data) {
		t.Error("the pictures differ")
	}
	a, b := got[0].Views[0].Track, want[0].Views[0].Track
	if len(a.Frame) != len(b.Frame) || math.Abs(a.Points["left_knee"][9].X-b.Points["left_knee"][9].X) > 0.001 {
		t.Error("the tracks differ by more than they are written to")
	}
}

// So are a track and what is found out about a clip.
func TestTrackAndInspectAreTheSame(t *testing.T) {
	clip := filepath.Join("..", "..", "testdata", "clips", "two_foot_knee_in_front.mp4")
	s := placedOn(t, clip)
	p := pipeline.Points{Placer: pipeline.ByHand}
	want, notes, err := p.Place(context.Background(), s, kinematics.Front, nil)
	if err != nil {
		t.Fatal(err)
	}
	var csv bytes.Buffer
	if err := kinematics.WriteTrack(&csv, want); err != nil {
		t.Fatal(err)
	}
	told := 0
	got, said, err := self(t).Track(context.Background(), p, s, kinematics.Front, func(string, int, int) { told++ })
	if err != nil || !bytes.Equal(got, csv.Bytes()) || len(said) != len(notes) || told == 0 {
		t.Errorf("%d bytes of track, not %d; notes %q, not %q; told %d times, %v", len(got), csv.Len(), said, notes, told, err)
	}
	seen, err := video.Inspect(context.Background(), clip, kinematics.DropLanding, nil)
	if err != nil {
		t.Fatal(err)
	}
	child, err := self(t).Inspect(context.Background(), clip, kinematics.DropLanding, nil)
	if err != nil || !reflect.DeepEqual(child, seen) {
		t.Errorf("it found %v, not %v, %v", child, seen, err)
	}
}

func TestFrames(t *testing.T) {
	n := 0
	err := self(t).Frames(context.Background(), filepath.Join("..", "..", "testdata", "clips", "two_foot_knee_in_front.mp4"), func(frame int, jpeg []byte) error {
		if frame != n || !bytes.HasPrefix(jpeg, []byte{0xff, 0xd8}) {
			t.Fatalf("frame %d came as number %d, or is no JPEG", n, frame)
		}
		n++
		return nil
	})
	if err != nil || n < 60 {
		t.Errorf("%d frames, %v", n, err)
	}
}

// Whatever becomes of the child, the answer is a plain reason.
func TestMisbehaviour(t *testing.T) {
	for how, want := range map[string]string{
		"memory": "needs more memory", "babble": "broke the reading", "crash": "broke the reading",
		"fenced": "network, program, file", "sleep": "was not done", "still": "stood still",
	} {
		t.Run(how, func(t *testing.T) {
			w := self(t, how)
			switch how {
			case "sleep":
				w.Wall = time.Second
			case "still":
				w.Silence, w.Patient = time.Second, true
			}
			_, err := w.Score(context.Background(), pipeline.Request{})
			var no *worker.Refused
			if !errors.As(err, &no) || !strings.Contains(no.Why, want) {
				t.Errorf("it says %v, not that it %s", err, want)
			}
		})
	}
}

// A child that was killed from outside, or that cannot fence itself in, is not the clip's
// fault: the job may be tried again.
func TestKilled(t *testing.T) {
	for _, how := range []string{"killed", "unable"} {
		_, err := self(t, how).Score(context.Background(), pipeline.Request{})
		var no *worker.Refused
		if err == nil || errors.As(err, &no) {
			t.Errorf("%s: %v, which blames the clip", how, err)
		}
	}
}

func TestInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := self(t, "sleep").Score(ctx, pipeline.Request{}); !errors.Is(err, context.Canceled) {
		t.Errorf("%v, not interrupted", err)
	}
}

// Clips made to break a reader: each ends in a plain reason, in the time of the limits.
func TestHostileClips(t *testing.T) {
	dir := t.TempDir()
	good, err := os.ReadFile(filepath.Join("..", "..", "testdata", "clips", "two_foot_knee_in_front.mp4"))
	if err != nil {
		t.Fatal(err)
	}
	random := bytes.Clone(good)
	for i := 4096; i < len(random)-64<<10; i++ { // behind a valid header, before the index
		random[i] = byte(i * 7919 >> 3)
	}
	files := map[string][]byte{
		"huge.mp4":     patched(t, good, "avc1", 24, 0xffffffff), // width and height
		"wide.mp4":     patched(t, good, "avc1", 24, 0x1fff1fff),
		"endless.mp4":  patched(t, good, "mvhd", 16, 0xffffffff), // duration
		"rate.mp4":     patched(t, good, "mdhd", 12, 1),          // time scale
		"samples.mp4":  patched(t, good, "stsz", 12, 0x7fffffff), // number of samples
		"times.mp4":    patched(t, good, "stts", 8, 0xffffffff),
		"random.mp4":   random,
		"headless.mp4": good[:200],
		"cut.mp4":      good[:len(good)/2],
		"text.mp4":     []byte("#EXTM3U\nhttp://127.0.0.1:9/x\n"),
		"empty.mp4":    nil,
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	// Small files that unfold: pictures of 8K, each 200 MB, and an hour of black.
	unfold(t, filepath.Join(dir, "bomb.mp4"), "color=black:size=8192x8192:rate=60", "30")
	unfold(t, filepath.Join(dir, "hour.mp4"), "color=black:size=64x64:rate=240", "100000")
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		t.Run(e.Name(), func(t *testing.T) {
			w := self(t)
			w.Wall = 5 * time.Second
			n := 0
			err := w.Frames(context.Background(), filepath.Join(dir, e.Name()), func(int, []byte) error { n++; return nil })
			var no *worker.Refused
			switch {
			case err == nil:
				t.Logf("%d frames were read", n)
			case !errors.As(err, &no):
				t.Errorf("it ended in %v, which is no plain reason", err)
			default:
				t.Log(no.Why)
			}
		})
	}
}

// unfold writes a clip of so many frames of a test picture.
func unfold(t *testing.T, path, source, frames string) {
	out, err := exec.Command("ffmpeg", "-v", "error", "-f", "lavfi", "-i", source, "-frames:v", frames, "-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p", path).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
}

// patched is a clip with four bytes of a box changed, at a place after the box's name.
func patched(t *testing.T, clip []byte, box string, at int, v uint32) []byte {
	out := bytes.Clone(clip)
	i := bytes.LastIndex(out, []byte(box))
	if i < 0 {
		t.Fatalf("the clip has no %s", box)
	}
	binary.BigEndian.PutUint32(out[i+4+at-4:], v)
	return out
}
