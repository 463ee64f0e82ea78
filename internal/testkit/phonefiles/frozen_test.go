package phonefiles_test

import (
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"steadfall/internal/testkit/phonefiles"
)

// refilmed is the plain file through filters of ffmpeg.
func refilmed(t *testing.T, filter string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "again.mp4")
	said, err := exec.Command("ffmpeg", "-v", "error", "-i", file(t, phonefiles.Cases[0]), "-filter_complex", filter, "-pix_fmt", "yuv420p", "-b:v", "4M", out).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	return out
}

// hanging is a filter that shows a picture again until the last one.
func hanging(first, last int) string {
	return fmt.Sprintf("split[a][b];[b]trim=start_frame=%d,setpts=PTS-STARTPTS[c];[a][c]freezeframes=first=%d:last=%d:replace=0", first-1, first, last)
}

// Pictures that are shown again while the athlete moves on are whole to the decoder. They are not
// measured, and said. What is told all the same is what it is without them, to what is stated.
func TestFrozenPictures(t *testing.T) {
	want := measured(t, file(t, phonefiles.Cases[0]))
	before := int(want.contactS*60) - 1 // the last picture before contact, about
	for name, filter := range map[string]string{
		"30 a second filled up to 60":      "fps=30,fps=60",
		"the picture hangs in the fall":    hanging(before-12, before-6),
		"the picture hangs before contact": hanging(before-2, before),
	} {
		t.Run(name, func(t *testing.T) {
			got := measured(t, refilmed(t, filter))
			t.Logf("%.2f°, %.2f ± %.2f cm, contact %.4f ± %.4f s; whole %.2f°, %.2f cm, %.4f s", got.fppa, got.depth, got.depthSD, got.contactS, got.contactSD, want.fppa, want.depth, want.contactS)
			if said := strings.Join(got.warnings, "\n"); !strings.Contains(said, "the picture is frozen from ") {
				t.Errorf("nothing is said of it: %q", said)
			}
			if math.Abs(got.fppa-want.fppa) > 1.5 || math.Abs(got.depth-want.depth) > 2*got.depthSD || math.Abs(got.contactS-want.contactS) > 2*got.contactSD {
				t.Errorf("%.2f°, %.2f ± %.2f cm, contact %.4f ± %.4f s; whole %.2f°, %.2f cm, %.4f s", got.fppa, got.depth, got.depthSD, got.contactS, got.contactSD, want.fppa, want.depth, want.contactS)
			}
		})
	}
	// Too much of the landing is missing, and the reason names it.
	_, err := measure(t, refilmed(t, hanging(before+5, before+10)))
	if err == nil || !strings.Contains(err.Error(), "the picture is frozen from ") {
		t.Errorf("a landing that was not seen: %v", err)
	}
}
