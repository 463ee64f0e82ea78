package clip

import (
	"math"
	"strconv"
	"strings"
)

// tag is one thing that a file says of itself beside its pictures.
type tag struct{ key, value string }

// captureKey is the key under which phones write how fast they filmed, in pictures a
// second, where the file plays slower: a number in the movie's metadata, told from files.
const captureKey = "com.android.capture.fps"

// slowed is how much faster than it plays a clip must have been filmed to be slow motion;
// what is nearer is one rate, rounded otherwise.
const slowed = 1.1

// captureFPS is how fast a clip was filmed that plays at a rate, 0 where the file does not
// say that this is faster.
func captureFPS(tags []tag, plays float64) float64 {
	for _, t := range tags {
		if t.key != captureKey {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(t.value), 64)
		if err == nil && v <= fastest && plays > 0 && v > slowed*plays {
			return v
		}
	}
	return 0
}

// fastest is more than any phone films a second.
const fastest = 2000

// frontCamera reports whether the file names the camera beside the screen: what the maker,
// the model or the lens is called holds the words (seen so on phones; from memory).
func frontCamera(tags []tag) bool {
	for _, t := range tags {
		key := strings.ToLower(t.key)
		for _, end := range []string{"make", "model", "lens_model", "lensmodel", "camera"} {
			if strings.HasSuffix(key, end) && strings.Contains(strings.ToLower(t.value), "front") {
				return true
			}
		}
	}
	return false
}

// stream is what is known of one stream of pictures before it is chosen.
type stream struct {
	index  int
	pixels int  // of a picture
	cover  bool // a still beside the film
	shown  bool // the file marks it as the one to be shown
	grey   bool // without colours, as depth is
	single bool // holds one picture
}

// film is the stream that a phone shows: not the cover, not the depth, not a thumbnail; of
// what is left the one marked to be shown, then the largest, then the first. It is -1 where
// there is none.
func film(all []stream) int {
	best, most := -1, 0
	for _, s := range all {
		if !s.cover {
			most = max(most, s.pixels)
		}
	}
	rank := func(s stream) int {
		r := 0
		for _, good := range []bool{!s.single, !s.grey, s.pixels*thumbnail >= most, s.shown} {
			r *= 2
			if good {
				r++
			}
		}
		return r
	}
	for i, s := range all {
		if s.cover {
			continue
		}
		if best < 0 || rank(s) > rank(all[best]) || rank(s) == rank(all[best]) && s.pixels > all[best].pixels {
			best = i
		}
	}
	if best < 0 {
		return -1
	}
	return all[best].index
}

// thumbnail is how many times fewer pixels a stream has that is no film beside another.
const thumbnail = 4

// squared is how wide a picture is in square pixels, where num:den is how wide one pixel is
// to its height (ISO/IEC 14496-12 §12.1.4.1). What no camera makes is taken for a mistake.
func squared(width, num, den int) int {
	if num <= 0 || den <= 0 || num > 4*den || den > 4*num {
		return width
	}
	return int(math.Round(float64(width) * float64(num) / float64(den)))
}
