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

// torn is a filter that shows on pictures first to last, from that share of the height down, what the
// picture before showed.
func torn(first, last int, from float64) string {
	return fmt.Sprintf("split[a][b];[b]tpad=start=1:start_mode=clone,crop=iw:trunc(ih*%.2f/2)*2:0:ih-oh[c];[a][c]overlay=0:H-h:enable='between(n,%d,%d)'", 1-from, first, last)
}

const isFrozen = " frozen from "

// Pictures that are shown again while the athlete moves on, in whole or from some height down, are whole
// to the decoder. They are not measured, and said. What is told all the same is what it is without
// them, to what is stated.
func TestFrozenPictures(t *testing.T) {
	want := measured(t, file(t, phonefiles.Cases[0]))
	contact := int(want.contactS * 60)
	for _, c := range []struct {
		what, filter string
		always       bool // in every run
		harmless     bool // and so may pass without a word
	}{
		{what: "30 a second filled up to 60", filter: "fps=30,fps=60", always: true},
		{what: "it hangs in the fall", filter: hanging(contact-13, contact-7)},
		{what: "it hangs before contact", filter: hanging(contact-3, contact-1)},
		{what: "torn in the fall", filter: torn(contact-12, contact-12, 0.6), harmless: true},
		{what: "torn before contact", filter: torn(contact-1, contact-1, 0.6)},
		{what: "torn at contact", filter: torn(contact, contact, 0.6), always: true},
		{what: "torn higher up", filter: torn(contact, contact, 0.5)},
		{what: "torn after contact", filter: torn(contact+3, contact+3, 0.5)},
		{what: "three torn from contact on", filter: torn(contact, contact+2, 0.5)},
	} {
		if !c.always && !everyOne {
			continue
		}
		t.Run(c.what, func(t *testing.T) {
			got := measured(t, refilmed(t, c.filter))
			found := fmt.Sprintf("%.2f°, %.2f ± %.2f cm, contact %.4f ± %.4f s; whole %.2f°, %.2f cm, %.4f s", got.fppa, got.depth, got.depthSD, got.contactS, got.contactSD, want.fppa, want.depth, want.contactS)
			t.Log(found)
			if said := strings.Join(got.warnings, "\n"); !c.harmless && !strings.Contains(said, isFrozen) {
				t.Errorf("nothing is said of it: %q", said)
			}
			if math.Abs(got.fppa-want.fppa) > 1.5 || math.Abs(got.depth-want.depth) > 2*got.depthSD || math.Abs(got.contactS-want.contactS) > 2*got.contactSD {
				t.Error(found)
			}
		})
	}
	// Too much of the landing is missing, and the reason names it.
	_, err := measure(t, refilmed(t, hanging(contact+4, contact+9)))
	if err == nil || !strings.Contains(err.Error(), isFrozen) {
		t.Errorf("a landing that was not seen: %v", err)
	}
}
