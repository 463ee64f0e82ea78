package video_test

import (
	"context"
	"math"
	"os/exec"
	"path/filepath"
	"testing"

	"steadfall/internal/testkit/synthetic"
	"steadfall/kinematics"
	"steadfall/video"
)

const clips = "../testdata/clips"

// degraded makes a copy of a clip with ffmpeg (Debian's), as phones and edits leave
// them.
func degraded(t *testing.T, clip, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("ffmpeg is not installed; run make setup")
	}
	out := filepath.Join(t.TempDir(), name)
	all := append([]string{"-v", "error", "-i", filepath.Join(clips, clip+".mp4")}, append(args, out)...)
	if text, err := exec.Command("ffmpeg", all...).CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg: %v\n%s", err, text)
	}
	return out
}

func inspect(t *testing.T, path string) video.Report {
	t.Helper()
	r, err := video.Inspect(context.Background(), path, kinematics.DropLanding, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// What a clip is is told from the file, not from what the header hopes.
func TestInspectTellsWhatAClipIs(t *testing.T) {
	short := []string{"-t", "1.5", "-vf", "scale=270:-2", "-c:v", "libx264", "-preset", "ultrafast"}
	plain := inspect(t, degraded(t, "two_foot_steady_front", "plain.mp4", short...))
	if plain.Info.Codec != "h264" || plain.Info.Container != "mp4" || !plain.Timing.Steady() || math.Abs(plain.Timing.RateHz-60) > 0.1 {
		t.Errorf("%+v %+v", plain.Info, plain.Timing)
	}
	mkv := inspect(t, degraded(t, "two_foot_steady_front", "hevc.mkv", "-t", "1", "-vf", "scale=270:-2", "-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=none"))
	if mkv.Info.Codec != "hevc" || mkv.Info.Container != "mkv" {
		t.Errorf("%+v", mkv.Info)
	}
	webm := inspect(t, degraded(t, "two_foot_steady_front", "vp9.webm", "-t", "1", "-vf", "scale=270:-2", "-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8"))
	if webm.Info.Codec != "vp9" || webm.Info.Container != "webm" {
		t.Errorf("%+v", webm.Info)
	}
}

// Frames left out make the times uneven; the times stay the container's.
func TestVariableRateKeepsTrueTimes(t *testing.T) {
	path := degraded(t, "two_foot_steady_front", "vfr.mp4", "-t", "2", "-vf", "select='not(eq(mod(n,5),2))',scale=270:-2", "-fps_mode", "passthrough", "-c:v", "libx264", "-preset", "ultrafast")
	r := inspect(t, path)
	if r.Timing.Steady() || math.Abs(r.Timing.ShortestMS-1000.0/60) > 0.5 || math.Abs(r.Timing.LongestMS-2000.0/60) > 0.5 {
		t.Errorf("%+v", r.Timing)
	}
}

// The rotation flag is applied: the picture is as shown.
func TestRotationFlag(t *testing.T) {
	flat := degraded(t, "two_foot_steady_side", "flat.mp4", "-t", "1", "-c:v", "libx264", "-preset", "ultrafast")
	turned := filepath.Join(t.TempDir(), "turned.mp4")
	if text, err := exec.Command("ffmpeg", "-v", "error", "-i", flat, "-c", "copy", "-metadata:s:v:0", "rotate=90", turned).CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg: %v\n%s", err, text)
	}
	r := inspect(t, turned)
	if r.Info.Width != 720 || r.Info.Height != 1280 || r.Info.RotationDeg == 0 {
		t.Errorf("%+v", r.Info)
	}
}

// Dim, soft and shaken clips are told so.
func TestCaptureChecks(t *testing.T) {
	verdict := func(r video.Report, name string) string {
		for _, c := range r.Checks {
			if c.Name == name {
				return c.Verdict
			}
		}
		return "missing"
	}
	base := []string{"-t", "2", "-c:v", "libx264", "-preset", "ultrafast"}
	with := func(filter string) []string { return append([]string{"-vf", filter}, base...) }
	good := inspect(t, degraded(t, "two_foot_steady_front", "good.mp4", base...))
	for _, name := range []string{"frame_rate", "moving_height_px", "light", "sharpness", "shake_px"} {
		if v := verdict(good, name); v != "good" {
			t.Errorf("a good clip: %s is %s", name, v)
		}
	}
	for name, filter := range map[string]string{
		"light":     "eq=brightness=-0.45:contrast=0.5",
		"sharpness": "gblur=sigma=9",
		"shake_px":  "crop=w=iw-80:h=ih-80:x='40+30*sin(n*1.3)':y='40+30*cos(n*1.7)'",
	} {
		r := inspect(t, degraded(t, "two_foot_steady_front", "bad.mp4", with(filter)...))
		if v := verdict(r, name); v == "good" {
			t.Errorf("%s is called good after %s", name, filter)
		}
	}
	slow := inspect(t, degraded(t, "two_foot_steady_front", "slow.mp4", append([]string{"-r", "24"}, base...)...))
	if v := verdict(slow, "frame_rate"); v != "poor" {
		t.Errorf("24 frames a second are called %s", v)
	}
}

// Points placed on four frames are followed to within their stated uncertainty: the
// hip, knee and ankle that landed, from contact to the deepest point.
func TestTrackAgainstTruth(t *testing.T) {
	c := truth(t, "two_foot_knee_in_front")
	rng := c.Rand(6)
	pl := c.Placements(c.CoachFrames(rng), 2, rng)
	calls := 0
	tr, _, err := video.Track(context.Background(), filepath.Join(clips, c.Name+".mp4"), pl, func(int, int) { calls++ })
	if err != nil {
		t.Fatal(err)
	}
	if calls != len(tr.Frame) {
		t.Errorf("progress was told %d times for %d frames", calls, len(tr.Frame))
	}
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		for _, p := range []kinematics.Part{kinematics.Hip, kinematics.Knee, kinematics.Ankle} {
			l := kinematics.On(s, p)
			for n := int(c.Truth.LowestS*c.FPS) - 1; n < int(c.Truth.LowestS*c.FPS)+6; n++ {
				q := tr.Points[l][n]
				x, y, _ := c.Point(n, l)
				if !q.Seen() {
					t.Errorf("%s is lost on frame %d", l, n)
					continue
				}
				if d := math.Hypot(q.X-x, q.Y-y); d > 3.5*math.Sqrt2*q.SD {
					t.Errorf("%s on frame %d is %.1f px off, with an sd of %.1f", l, n, d, q.SD)
				}
			}
		}
	}
}

func TestTrackCanBeInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	pl := video.Placements{View: kinematics.Front, Frames: []video.PlacedFrame{{Frame: 0, Points: map[kinematics.Landmark]kinematics.Point{
		"left_hip": {X: 500, Y: 700, SD: 2},
	}}}}
	_, _, err := video.Track(ctx, clips+"/two_foot_steady_front.mp4", pl, func(done, _ int) {
		if done == 3 {
			cancel()
		}
	})
	if err != context.Canceled {
		t.Errorf("%v, want context.Canceled", err)
	}
}

// Stills are JPEG pictures of the frames that were asked for.
func TestStills(t *testing.T) {
	c := truth(t, "two_foot_steady_front")
	path := filepath.Join(clips, c.Name+".mp4")
	tr, _, err := video.Track(context.Background(), path, c.Placements([]int{10, 80}, 0.1, c.Rand(1)), nil)
	if err != nil {
		t.Fatal(err)
	}
	out, err := video.Shoot(context.Background(), path, tr, video.Shots{Stills: []video.Mark{{Frame: 5}, {Frame: 80}}})
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{5, 80} {
		if len(out.Stills[n]) < 5000 || out.Stills[n][0] != 0xff || out.Stills[n][1] != 0xd8 {
			t.Errorf("frame %d gave %d bytes that are no JPEG", n, len(out.Stills[n]))
		}
	}
}

func truth(t *testing.T, name string) synthetic.Truth {
	t.Helper()
	all, err := synthetic.Clips(clips)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range all {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("there is no clip %s", name)
	return synthetic.Truth{}
}

// A landing is still found, and timed, on clips as phones and messengers leave them.
func TestDegradedClipsAreStillMeasured(t *testing.T) {
	c := truth(t, "two_foot_steady_side")
	fast := []string{"-c:v", "libx264", "-preset", "ultrafast", "-crf", "20"}
	for _, d := range []struct {
		name   string
		size   float64 // of the picture against the clip's
		every  int     // frames of the clip for one of the copy
		filter []string
	}{
		{"hevc.mp4", 1, 1, []string{"-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=none"}},
		{"half.mp4", 0.5, 1, append([]string{"-vf", "scale=640:360"}, fast...)},
		{"thirty.mp4", 1, 2, append([]string{"-vf", "select='not(mod(n,2))'", "-fps_mode", "passthrough"}, fast...)},
		{"dim.mp4", 1, 1, append([]string{"-vf", "eq=brightness=-0.12:contrast=0.7,noise=alls=9:allf=t"}, fast...)},
		{"shaken.mp4", 1, 1, append([]string{"-vf", "pad=iw+16:ih+16:8:8,crop=w=1280:h=720:x='8+4*sin(n*0.4)':y='8+4*cos(n*0.3)'"}, fast...)},
	} {
		t.Run(d.name, func(t *testing.T) {
			t.Parallel()
			path := degraded(t, c.Name, d.name, d.filter...)
			pl := c.Placements([]int{12, 76, 94, 98, 280}, 1, c.Rand(3))
			for i := range pl.Frames {
				pl.Frames[i].Frame /= d.every
				for l, p := range pl.Frames[i].Points {
					p.X, p.Y = (p.X+0.5)*d.size-0.5, (p.Y+0.5)*d.size-0.5
					pl.Frames[i].Points[l] = p
				}
			}
			tr, _, err := video.Track(context.Background(), path, pl, nil)
			if err != nil {
				t.Fatal(err)
			}
			l, err := kinematics.Derive(tr, kinematics.Options{Task: kinematics.DropLanding, StatureCM: c.StatureCM})
			if err != nil {
				t.Fatal(err)
			}
			e, ok := l.Event(kinematics.InitialContact)
			if !ok || math.Abs(e.TimeS-c.Contact()) > 2/l.RateHz {
				t.Errorf("contact at %.3f s, want %.3f s within two frames", e.TimeS, c.Contact())
			}
			if m, ok := l.Measure("landing_depth", kinematics.Both); !ok || math.Abs(m.Value-c.Truth.DepthCM) > 4 {
				t.Errorf("depth %.1f ± %.1f cm, want %.1f within 4", m.Value, m.SD, c.Truth.DepthCM)
			}
		})
	}
}
