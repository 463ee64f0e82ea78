package clip

import (
	"image"
	"testing"
)

// one is 1 in the 16.16 numbers of a track header.
const one = 1 << 16

// The eight matrices, and where each shows the four corners of a stored picture of 3 × 2
// pixels, worked out by hand from ISO/IEC 14496-12 §8.3.2: a stored pixel (p, q) is shown at
// (a·p + c·q, b·p + d·q), moved so that the picture begins at 0, 0.
func TestDisplayMatrices(t *testing.T) {
	for _, c := range []struct {
		name       string
		a, b, c, d int32
		deg        int
		mirrored   bool
		size       image.Point
		topLeft    image.Point // the stored pixel that is shown there
		topRight   image.Point
	}{
		{"as stored", one, 0, 0, one, 0, false, image.Pt(3, 2), image.Pt(0, 0), image.Pt(2, 0)},
		{"a quarter clockwise", 0, one, -one, 0, 90, false, image.Pt(2, 3), image.Pt(0, 1), image.Pt(0, 0)},
		{"upside down", -one, 0, 0, -one, 180, false, image.Pt(3, 2), image.Pt(2, 1), image.Pt(0, 1)},
		{"a quarter back", 0, -one, one, 0, 270, false, image.Pt(2, 3), image.Pt(2, 0), image.Pt(2, 1)},
		{"in a mirror", -one, 0, 0, one, 0, true, image.Pt(3, 2), image.Pt(2, 0), image.Pt(0, 0)},
		{"in a mirror, a quarter clockwise", 0, -one, -one, 0, 90, true, image.Pt(2, 3), image.Pt(2, 1), image.Pt(2, 0)},
		{"in a mirror, upside down", one, 0, 0, -one, 180, true, image.Pt(3, 2), image.Pt(0, 1), image.Pt(2, 1)},
		{"in a mirror, a quarter back", 0, one, one, 0, 270, true, image.Pt(2, 3), image.Pt(0, 0), image.Pt(0, 1)},
	} {
		o := displayed([9]int32{c.a, c.b, 0, c.c, c.d, 0, 0, 0, 1 << 30})
		if deg, mirrored := o.turn(); deg != c.deg || mirrored != c.mirrored {
			t.Errorf("%s: turned by %d°, mirrored %v", c.name, deg, mirrored)
		}
		size := o.size(image.Pt(3, 2))
		if size != c.size {
			t.Errorf("%s: shown %v large", c.name, size)
		}
		pixel := func(x, y int) image.Point { return o.stored(image.Rect(x, y, x+1, y+1), size).Min }
		if got := pixel(0, 0); got != c.topLeft {
			t.Errorf("%s: at the top left is %v, want %v", c.name, got, c.topLeft)
		}
		if got := pixel(size.X-1, 0); got != c.topRight {
			t.Errorf("%s: at the top right is %v, want %v", c.name, got, c.topRight)
		}
	}
}
