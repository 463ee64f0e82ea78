package clip

import (
	"math"
	"slices"
	"testing"
)

// The film is what a phone shows of several streams of pictures.
func TestWhichStreamIsTheFilm(t *testing.T) {
	const hd, small = 1920 * 1080, 320 * 240
	for _, c := range []struct {
		name string
		all  []stream
		want int
	}{
		{"none", nil, -1},
		{"only a cover", []stream{{index: 0, pixels: hd, cover: true}}, -1},
		{"a cover before it", []stream{{index: 0, pixels: 4 * hd, cover: true, shown: true}, {index: 2, pixels: hd}}, 2},
		{"a still before it", []stream{{index: 0, pixels: 2 * hd, single: true, shown: true}, {index: 1, pixels: hd}}, 1},
		{"depth before it", []stream{{index: 0, pixels: hd, grey: true, shown: true}, {index: 1, pixels: hd}}, 1},
		{"a thumbnail before it", []stream{{index: 0, pixels: small, shown: true}, {index: 1, pixels: hd}}, 1},
		{"a second camera, not shown", []stream{{index: 0, pixels: hd, shown: true}, {index: 1, pixels: 2 * hd}}, 0},
		{"two cameras alike", []stream{{index: 3, pixels: hd, shown: true}, {index: 4, pixels: hd, shown: true}}, 3},
		{"a smaller camera first", []stream{{index: 0, pixels: hd / 2}, {index: 1, pixels: hd}}, 1},
		{"only without colours", []stream{{index: 1, pixels: hd, grey: true}}, 1},
	} {
		if got := film(c.all); got != c.want {
			t.Errorf("%s: stream %d, want %d", c.name, got, c.want)
		}
	}
}

// Only a rate that is clearly faster than the clip plays is slow motion.
func TestCaptureRate(t *testing.T) {
	for _, c := range []struct {
		says  string
		plays float64
		want  float64
	}{
		{"240", 30, 240},
		{"240.000000", 29.97, 240},
		{"240", 240, 0}, // filmed fast and played so
		{"30", 29.97, 0},
		{"60", 120, 0}, // time lapse
		{"NaN", 30, 0},
		{"Inf", 30, 0},
		{"1e9", 30, 0},
		{"fast", 30, 0},
		{"240", 0, 0},
	} {
		got := captureFPS([]tag{{"encoder", "240"}, {captureKey, c.says}}, c.plays)
		if math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s at %g: %g, want %g", c.says, c.plays, got, c.want)
		}
	}
}

func TestFrontCameraIsToldByWords(t *testing.T) {
	if !frontCamera([]tag{{"x.camera.lens_model", "Invented 7 Front Camera 2.7mm"}}) {
		t.Error("a front lens is not seen")
	}
	if frontCamera([]tag{{"comment", "filmed from the front"}, {"model", "Invented 7"}}) {
		t.Error("a remark is taken for the camera's name")
	}
}

// A width in square pixels; ratios that no camera makes are left alone.
func TestSquarePixels(t *testing.T) {
	var got []int
	for _, r := range [][2]int{{1, 1}, {4, 3}, {3, 4}, {0, 1}, {1, 0}, {-1, 2}, {9, 1}, {1, 9}} {
		got = append(got, squared(1440, r[0], r[1]))
	}
	if want := []int{1440, 1920, 1080, 1440, 1440, 1440, 1440, 1440}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
