package clip

import "image"

// orientation is how a stored picture is shown: columns may become rows, then left and
// right, then top and bottom may change over. Those are the eight ways in which a picture
// can lie.
type orientation struct {
	across bool // columns become rows
	mirror bool // left and right change over, after that
	upend  bool // top and bottom
}

// displayed reads the matrix of a track header (ISO/IEC 14496-12 §8.3.2): a stored pixel
// (p, q) is shown at (a·p + c·q, b·p + d·q), where a, b, c, d are numbers 0, 1, 3 and 4 of
// the nine. Of a matrix that turns by no right angle the nearest one is taken.
func displayed(m [9]int32) orientation {
	a, b, c, d := int64(m[0]), int64(m[1]), int64(m[3]), int64(m[4])
	if abs(b)+abs(c) > abs(a)+abs(d) {
		return orientation{across: true, mirror: c < 0, upend: b < 0}
	}
	return orientation{mirror: a < 0, upend: d < 0}
}

// turn is the same as a turn clockwise, deg, of the picture or of its mirror image.
func (o orientation) turn() (deg int, mirrored bool) {
	mirrored = o.across != (o.mirror != o.upend)
	switch {
	case o.across && o.mirror: // what was at the left comes to the top
		deg = 90
	case o.across:
		deg = 270
	case o.upend:
		deg = 180
	}
	return deg, mirrored
}

// size turns the size of the stored picture into that of the shown one, and back.
func (o orientation) size(s image.Point) image.Point {
	if o.across {
		return image.Pt(s.Y, s.X)
	}
	return s
}

// stored is the part of a stored picture that is shown in an area of the shown one; size is
// that of the whole shown one.
func (o orientation) stored(area image.Rectangle, size image.Point) image.Rectangle {
	if o.mirror {
		area.Min.X, area.Max.X = size.X-area.Max.X, size.X-area.Min.X
	}
	if o.upend {
		area.Min.Y, area.Max.Y = size.Y-area.Max.Y, size.Y-area.Min.Y
	}
	if o.across {
		area = image.Rect(area.Min.Y, area.Min.X, area.Max.Y, area.Max.X)
	}
	return area
}

func abs(v int64) int64 {
	if v < 0 {
		return -v
	}
	return v
}
