package clip

import (
	"math"
	"slices"
	"testing"
)

// After a complaint nothing is whole until a picture that stands alone and that the decoder
// had not been given yet; the stretch is told from its whole neighbours.
func TestDamageLastsUntilAPictureThatStandsAlone(t *testing.T) {
	d := damage{wholeS: math.Inf(-1)}
	var whole []int64
	for packet := int64(1); packet <= 40; packet++ {
		if packet == 13 { // with packets 13 to 15 in hand: the picture of 13 comes next
			d.seen(15)
		}
		if !d.doubts(packet, packet%10 == 1 || packet == 14, float64(packet)) {
			whole = append(whole, packet)
		}
	}
	want := []int64{}
	for packet := int64(1); packet <= 40; packet++ {
		if packet < 13 || packet >= 21 {
			want = append(want, packet)
		}
	}
	if !slices.Equal(whole, want) {
		t.Errorf("whole are %v", whole)
	}
	d.seen(40)
	d.end(40, true)
	if want := []Loss{{FromS: 12, ToS: 21}, {FromS: 40, ToS: 40, CutOff: true}}; !slices.Equal(d.losses, want) {
		t.Errorf("lost is %v, want %v", d.losses, want)
	}
}
