package phonefiles_test

import (
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"steadfall/internal/testkit/phonefiles"
	"steadfall/video/clip"
)

// spoilt is the plain file with a run of noise in the middle of one of its packets, as ffprobe
// numbers them.
func spoilt(t *testing.T, packet int) string {
	t.Helper()
	path := file(t, phonefiles.Cases[0])
	out, err := exec.Command("ffprobe", "-v", "error", "-show_entries", "packet=pos,size", "-of", "csv=p=0", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	size, pos, _ := strings.Cut(strings.Fields(string(out))[packet], ",")
	n, errN := strconv.Atoi(size)
	at, errAt := strconv.Atoi(pos)
	data, err := os.ReadFile(path)
	if errN != nil || errAt != nil || err != nil {
		t.Fatal(errN, errAt, err)
	}
	for i := n / 4; i < n/2; i++ {
		data[at+i] = byte(151 * i)
	}
	bad := filepath.Join(t.TempDir(), "damaged.mp4")
	if err := os.WriteFile(bad, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return bad
}

// A packet that was damaged in the hold spoils what is made from it, up to the next key picture at
// 2 s. What is said to be whole is the picture it was; the landing before is measured as ever, and
// the result says what was lost.
func TestDamageInTheMiddle(t *testing.T) {
	bad := spoilt(t, 80)
	area := image.Rect(0, 0, 540, 960)
	small := func(p clip.Picture) []byte {
		out := make([]byte, area.Dx()*area.Dy()/16)
		p.Grey(area, 4, out)
		return out
	}
	var whole [][]byte
	read(t, file(t, phonefiles.Cases[0]), func(_ *clip.Film, p clip.Picture) { whole = append(whole, small(p)) })
	damaged := 0
	_, lost := through(t, bad, func(_ *clip.Film, p clip.Picture) {
		if p.Damaged {
			damaged++
			if p.TimeS < 1 || p.TimeS >= 2 {
				t.Errorf("the picture at %.3f s is said to be damaged", p.TimeS)
			}
			return
		}
		d := 0.0
		for i, v := range small(p) {
			d += math.Abs(float64(v) - float64(whole[int(math.Round(p.TimeS*60))][i]))
		}
		if d > 0 {
			t.Errorf("the picture at %.3f s is said to be whole, but is another one", p.TimeS)
		}
	})
	if damaged == 0 || len(lost) != 1 || lost[0].CutOff || lost[0].FromS < 0.9 || math.Abs(lost[0].ToS-2) > 0.02 {
		t.Errorf("%d pictures damaged, lost %v", damaged, lost)
	}
	got, want := measured(t, bad), measured(t, file(t, phonefiles.Cases[0]))
	if !math.IsNaN(got.fppa) {
		t.Errorf("the knee's peak is told, though not all from contact to still was seen: %.1f°, undamaged %.1f°", got.fppa, want.fppa)
	}
	if !(math.Abs(got.contactS-want.contactS) <= 0.5/60 && math.Abs(got.depth-want.depth) <= 0.5) {
		t.Errorf("%+v, undamaged %+v", got, want)
	}
	if said := strings.Join(got.warnings, "\n"); !strings.Contains(said, "the file is damaged from ") {
		t.Errorf("nothing is said of it: %q", said)
	}
}

// Pictures that are damaged before the first whole one are pictures of the clip all the same: the
// others keep their numbers, which placements name, and their times, and what was lost is said.
func TestDamageAtTheBeginning(t *testing.T) {
	at := map[float64]int{}
	read(t, file(t, phonefiles.Cases[0]), func(_ *clip.Film, p clip.Picture) { at[p.TimeS] = p.Frame })
	damaged, whole := 0, 0
	_, lost := through(t, spoilt(t, 0), func(_ *clip.Film, p clip.Picture) {
		if n, ok := at[p.TimeS]; !ok || n != p.Frame {
			t.Errorf("frame %d at %.3f s is frame %d of the undamaged clip (%v)", p.Frame, p.TimeS, n, ok)
		}
		if p.Damaged {
			damaged++
		} else {
			whole++
		}
	})
	if damaged == 0 || damaged+whole != len(at) {
		t.Errorf("%d damaged and %d whole pictures of %d", damaged, whole, len(at))
	}
	if len(lost) == 0 || lost[0].FromS != 0 || lost[0].ToS <= 0 {
		t.Errorf("lost is %v", lost)
	}
}
