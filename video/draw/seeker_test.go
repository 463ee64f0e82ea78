package draw

import (
	"bytes"
	"context"
	"errors"
	"image"
	"io"
	"os/exec"
	"path/filepath"
	"testing"

	"steadfall/kinematics"
	"steadfall/video/clip"
	"steadfall/video/mat"
)

// What a jump finds is, byte for byte, the frame that is found by counting; and where the
// track's times are not the clip's, frames are counted.
func TestSeekerJumpsToTheFrameThatCountingFinds(t *testing.T) {
	landing := ffmpeg(t, "landing.mp4", "../../testdata/clips/two_foot_knee_in_front.mp4")
	long := filepath.Join(t.TempDir(), "long.mp4") // 18 s
	if text, err := exec.Command("ffmpeg", "-v", "error", "-stream_loop", "3", "-i", landing, "-c", "copy", long).CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg: %v\n%s", err, text)
	}
	for _, c := range []struct {
		name   string
		encode []string
		slower float64 // the track's times are that many times shorter
		jumps  bool    // to a key frame, not decoding what lies before
		counts bool    // from the beginning, since the times do not agree
	}{
		{"h264 with B-frames", []string{"-c:v", "libx264", "-g", "60", "-bf", "3"}, 1, true, false},
		{"one key frame", []string{"-c:v", "libx264", "-g", "9999"}, 1, false, false},
		{"hevc", []string{"-c:v", "libx265", "-x265-params", "log-level=none", "-g", "48"}, 1, true, false},
		{"rate that changes", []string{"-vf", "select='not(eq(mod(n,7),3)+eq(mod(n,11),5))'", "-fps_mode", "vfr", "-c:v", "libx264", "-g", "50"}, 1, true, false},
		{"slow motion", []string{"-c:v", "libx264", "-g", "30"}, 4, false, true},
		{"nearly the same rate", []string{"-c:v", "libx264", "-g", "30"}, 1.001, false, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			clip := ffmpeg(t, "clip.mp4", long, c.encode...)
			track := timesOf(t, clip)
			last := len(track.Frame) - 1
			for i := range track.TimeS {
				track.TimeS[i] /= c.slower
			}
			jumping, err := newSeeker(clip, track)
			if err != nil {
				t.Fatal(err)
			}
			defer jumping.close()
			counting, err := newSeeker(clip, track)
			if err != nil {
				t.Fatal(err)
			}
			defer counting.close()
			counting.count = true
			var before []byte
			read := 0 // pictures, which a film that jumps goes on counting
			for _, n := range []int{10, 364, 365, 640, 641, last - 20} {
				a, errA := jumping.to(context.Background(), n)
				b, errB := counting.to(context.Background(), n)
				if err := errors.Join(errA, errB); err != nil {
					t.Fatal(err)
				}
				counted := bgr(b)
				read = a.Frame
				if bytes.Equal(counted, before) {
					t.Errorf("frames %d and %d are the same, so one could be taken for the other", n-1, n)
				}
				if before = counted; !bytes.Equal(bgr(a), before) {
					t.Errorf("frame %d is another one", n)
				}
			}
			if jumping.count != c.counts {
				t.Errorf("counted from the beginning: %v", jumping.count)
			}
			if c.jumps && read > last/2 || !c.counts && read > last {
				t.Errorf("%d frames of %d were read", read, last)
			}
			if _, err := jumping.to(context.Background(), last+200); err != io.EOF {
				t.Errorf("beyond the end: %v", err)
			}
		})
	}
}

// ffmpeg makes a clip from another (Debian's), small, and gives its name.
func ffmpeg(t *testing.T, name, from string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("ffmpeg is not installed; run make setup")
	}
	out := filepath.Join(t.TempDir(), name)
	all := append([]string{"-v", "error", "-i", from, "-s", "270x480", "-preset", "ultrafast"}, args...)
	if text, err := exec.Command("ffmpeg", append(all, out)...).CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg: %v\n%s", err, text)
	}
	return out
}

// timesOf is a track of the clip without points.
func timesOf(t *testing.T, name string) kinematics.Track {
	t.Helper()
	film, err := clip.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer film.Close()
	var track kinematics.Track
	for {
		p, err := film.Next()
		if err == io.EOF {
			return track
		}
		if err != nil {
			t.Fatal(err)
		}
		track.Frame, track.TimeS = append(track.Frame, p.Frame), append(track.TimeS, p.TimeS)
	}
}

// bgr is a whole picture.
func bgr(p clip.Picture) []byte {
	m := mat.Colours(p, image.Rect(0, 0, 270, 480), 1)
	defer m.Close()
	return m.ToBytes()
}
