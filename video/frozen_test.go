package video

import (
	"math"
	"slices"
	"testing"
)

// changed has some blocks' largest changes, and tells on which pictures a clip of them is frozen.
func frozenOf(by ...float64) (at []int) {
	c := changes{nil}
	for _, v := range by {
		if math.IsNaN(v) {
			c = append(c, nil)
		} else {
			c = append(c, []uint8{uint8(v)})
		}
	}
	for i, f := range c.frozen() {
		if f {
			at = append(at, i)
		}
	}
	return at
}

func TestFrozen(t *testing.T) {
	for _, c := range []struct {
		what string
		by   []float64
		want []int
	}{
		{"the picture hangs in the fall", []float64{1, 2, 30, 60, 0, 1, 0, 150, 90, 40}, []int{5, 6, 7}},
		{"30 a second filled up to 60", []float64{2, 20, 1, 90, 2, 150, 1, 60, 1}, []int{3, 5, 7}},
		// As measured on a clip, at the deepest point and into the hold.
		{"the athlete turns round at the deepest", []float64{90, 60, 30, 14, 3, 1, 3, 4, 9, 16, 23}, nil},
		{"the phone is put down, and somebody steps off", []float64{80, 90, 1, 2, 1, 1, 2, 4, 7, 15, 30}, nil},
		{"the light goes on", []float64{1, 1, 200, 1, 1, 1, 5, 12, 30}, nil},
		{"the clip ends in it", []float64{20, 60, 0, 0, 0}, nil},
		{"a damaged picture before it", []float64{20, math.NaN(), 0, 60}, nil},
	} {
		if got := frozenOf(c.by...); !slices.Equal(got, c.want) {
			t.Errorf("%s: frozen are %v, want %v", c.what, got, c.want)
		}
	}
}

// Somebody 20 blocks tall falls, in a picture of 40 rows; on one picture what lies lower than some row is
// that of the picture before.
func TestTorn(t *testing.T) {
	for _, c := range []struct {
		what       string
		from, to   int // rows that stay
		wantFrozen bool
	}{
		{"the legs stay", 25, 40, true},
		{"head and trunk stay", 0, 25, true},
		{"the feet stay, as they do at contact", 31, 40, false},
		{"nothing stays", 40, 40, false},
	} {
		rows := make(changes, 6)
		for i := range rows[1:] {
			rows[1+i] = make([]uint8, 40)
			for r := 15; r < 35; r++ {
				rows[1+i][r] = 50
			}
		}
		for r := c.from; r < c.to; r++ {
			rows[3][r] = 1
		}
		want := []bool{false, false, false, c.wantFrozen, false, false}
		if got := rows.frozen(); !slices.Equal(got, want) {
			t.Errorf("%s: frozen %v, want %v", c.what, got, want)
		}
	}
}

// Stretches that lie close are one, and each counts its pictures.
func TestFreezes(t *testing.T) {
	frozen := []bool{false, true, false, true, false, false, false, true, true}
	times := []float64{0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8}
	want := []Freeze{{0.1, 0.3, 2}, {0.7, 0.8, 2}}
	if got := freezes(frozen, times); !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
