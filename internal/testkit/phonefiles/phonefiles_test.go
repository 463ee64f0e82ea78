package phonefiles_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"slices"
	"testing"

	"steadfall/internal/testkit/phonefiles"
)

// made is the folder with the files of all tests of one run.
var made phonefiles.Folder

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "phonefiles")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	made = phonefiles.Folder(dir)
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// everyOne is whether all cases are tested, and not only the everyday ones, which most phones
// leave.
var (
	everyOne = os.Getenv("STEADFALL_ALL_PHONE_FILES") != ""
	everyday = []string{"plain", "turned 90", "turned 270", "mirrored and turned 90", "trimmed and turned 90", "HEVC", "HLG", "sound first", "a gap", "30 a second", "slow motion, as a number", "odd size"}
)

// file makes a case's file, or skips the test where that cannot or should not be.
func file(t *testing.T, c phonefiles.Case) string {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("ffmpeg is not installed; run make setup")
	}
	if !everyOne && !slices.Contains(everyday, c.Name) {
		t.Skip("not in every run; set STEADFALL_ALL_PHONE_FILES=1")
	}
	path, err := made.Make(t.Context(), c)
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// times are the times of a case's pictures, counted from the first.
func times(t *testing.T, c phonefiles.Case, path string) []float64 {
	t.Helper()
	at, err := c.Times(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if len(at) != c.Frames {
		t.Fatalf("%d pictures are shown, want %d", len(at), c.Frames)
	}
	for i := len(at) - 1; i >= 0; i-- {
		at[i] -= at[0]
	}
	return at
}

// picture is rows from the top, three bytes a pixel.
type picture struct {
	width, height int
	bgr           []byte
}

func shown(t *testing.T, c phonefiles.Case, path string, numbers ...int) []picture {
	t.Helper()
	raw, err := c.Shown(t.Context(), path, numbers...)
	if err != nil {
		t.Fatal(err)
	}
	var out []picture
	for _, bgr := range raw {
		out = append(out, picture{c.Width, c.Height, bgr})
	}
	return out
}

// differs is the mean absolute difference of two pictures over all their bytes, of 255. They are
// laid over one another where their sizes differ.
func (p picture) differs(q picture) float64 {
	sum := 0.0
	for y := range p.height {
		for x := range p.width {
			at, there := 3*(y*p.width+x), 3*(y*q.height/p.height*q.width+x*q.width/p.width)
			for i := range 3 {
				sum += math.Abs(float64(p.bgr[at+i]) - float64(q.bgr[there+i]))
			}
		}
	}
	return sum / float64(len(p.bgr))
}

// mirrored is the picture with left and right changed over.
func (p picture) mirrored() picture {
	q := picture{p.width, p.height, make([]byte, len(p.bgr))}
	for y := range p.height {
		for x := range p.width {
			copy(q.bgr[3*(y*p.width+x):][:3], p.bgr[3*(y*p.width+p.width-1-x):])
		}
	}
	return q
}

// ends are the first picture of a case, one in the middle and the last.
func ends(c phonefiles.Case) []int { return []int{0, c.Frames / 2, c.Frames - 1} }

// By what the files say, ffmpeg shows all of them as it shows the plain one, at the same times.
// What ffmpeg shows is therefore a reference for every case.
func TestAllAreShownAlike(t *testing.T) {
	if !everyOne {
		t.Skip("tests what ffmpeg made; set STEADFALL_ALL_PHONE_FILES=1")
	}
	plain := phonefiles.Cases[0]
	original := file(t, plain)
	for _, c := range phonefiles.Cases {
		t.Run(c.Name, func(t *testing.T) {
			path := file(t, c)
			at := times(t, c, path)
			var same []int
			for _, n := range ends(c) {
				same = append(same, int(math.Round(at[n]/c.Stretched*plain.RateHz)))
			}
			want := shown(t, plain, original, same...)
			for i, got := range shown(t, c, path, ends(c)...) {
				if d := got.differs(want[i]); d > 4 {
					t.Errorf("picture %d is not picture %d of the plain file: they differ by %.1f of 255", ends(c)[i], same[i], d)
				} else {
					t.Logf("%.2f", d)
				}
				if d := got.mirrored().differs(want[i]); d < 8 {
					t.Errorf("a mirrored picture would not be told apart: %.1f of 255", d)
				} else {
					t.Logf("mirrored %.2f", d)
				}
			}
			if hz := float64(c.Frames-1) / at[c.Frames-1]; c.RateHz > 0 && math.Abs(hz-c.RateHz) > 0.1 {
				t.Errorf("%.2f pictures a second, want %.2f", hz, c.RateHz)
			}
		})
	}
}
