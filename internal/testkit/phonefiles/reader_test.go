package phonefiles_test

import (
	"image"
	"io"
	"math"
	"testing"

	"steadfall/internal/testkit/phonefiles"
	"steadfall/video/clip"
)

// read opens a file and hands out every picture of it.
func read(t *testing.T, path string, each func(f *clip.Film, p clip.Picture)) clip.Info {
	t.Helper()
	info, lost := through(t, path, each)
	if len(lost) > 0 {
		t.Errorf("a whole file is said to be damaged: %v", lost)
	}
	return info
}

// through reads a file to its end and says what of it is lost.
func through(t *testing.T, path string, each func(f *clip.Film, p clip.Picture)) (clip.Info, []clip.Loss) {
	t.Helper()
	film, err := clip.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer film.Close()
	for {
		p, err := film.Next()
		if err == io.EOF {
			return film.Info, film.Losses()
		}
		if err != nil {
			t.Fatal(err)
		}
		each(film, p)
	}
}

// Every file is read as ffmpeg shows it: as many pictures, at the same times, and the first, the
// middle and the last are the same picture, the right way round.
func TestReadAsShown(t *testing.T) {
	for _, c := range phonefiles.Cases {
		t.Run(c.Name, func(t *testing.T) {
			path := file(t, c)
			at := times(t, c, path)
			want := shown(t, c, path, ends(c)...)
			n := 0
			info := read(t, path, func(f *clip.Film, p clip.Picture) {
				defer func() { n++ }()
				if p.Damaged || p.Frame != n || n < len(at) && math.Abs(p.TimeS-at[n]) > 2e-6 {
					t.Errorf("picture %d is number %d at %.6f s, damaged %v; ffmpeg shows it at %.6f s", n, p.Frame, p.TimeS, p.Damaged, at[min(n, len(at)-1)])
				}
				if f.Width != c.Width || f.Height != c.Height {
					t.Fatalf("%d × %d px, want %d × %d", f.Width, f.Height, c.Width, c.Height)
				}
				for i, end := range ends(c) {
					if n == end {
						got := picture{c.Width, c.Height, make([]byte, 3*c.Width*c.Height)}
						p.BGR(image.Rect(0, 0, c.Width, c.Height), 1, got.bgr)
						check(t, c, n, got, want[i])
						checkGrey(t, n, p, got)
					}
				}
			})
			if n != c.Frames {
				t.Errorf("%d pictures, want %d", n, c.Frames)
			}
			if fast := c.Stretched * c.RateHz; c.SaysSo && c.Stretched > 1 != (math.Abs(info.CaptureFPS-fast) < 0.1) {
				t.Errorf("filmed at %g a second, want %g", info.CaptureFPS, fast)
			}
		})
	}
}

// most is how far two pictures may differ, of 255: the reader presses bright light together where
// ffmpeg here cuts it off.
func most(c phonefiles.Case) float64 {
	if c.HDR {
		return 5
	}
	return 2
}

func check(t *testing.T, c phonefiles.Case, n int, got, want picture) {
	t.Helper()
	if d := got.differs(want); d > most(c) {
		t.Errorf("picture %d differs by %.2f of 255", n, d)
	} else {
		t.Logf("picture %d: %.2f", n, d)
	}
	if d := got.mirrored().differs(want); d < 8 {
		t.Errorf("picture %d in a mirror would pass: %.2f", n, d)
	}
}

// checkGrey compares a grey picture, whole and shrunk, with what the colours say: the luma of
// ITU-R BT.601 or BT.709, which differ by far less than pictures do.
func checkGrey(t *testing.T, n int, p clip.Picture, colours picture) {
	t.Helper()
	for _, k := range []int{1, 2, 3} {
		w, h := colours.width/k, colours.height/k
		grey := make([]byte, w*h)
		p.Grey(image.Rect(0, 0, w*k, h*k), k, grey)
		small := make([]byte, 3*w*h)
		p.BGR(image.Rect(0, 0, w*k, h*k), k, small)
		sum := 0.0
		for i, g := range grey {
			b := small[3*i:]
			sum += math.Abs(float64(g) - (0.0722*float64(b[0]) + 0.7152*float64(b[1]) + 0.2126*float64(b[2])))
		}
		if d := sum / float64(len(grey)); d > 3 {
			t.Errorf("picture %d shrunk by %d: grey and colours differ by %.2f of 255", n, k, d)
		}
	}
}
