package track

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A trunk of 100 px leans forward as its hip goes down by 60, and the net's hip slides up it by
// 8 px on the way: standing 4 px too low, deep 4 too high. Moved along the trunk towards its
// usual length each hip is off by no more than the share that is left, however long the
// athlete stands; hips whose shoulder is not seen, or is far off, stay where
// the net has them.
func TestHipsKeepTheirPlaceOnTheTrunk(t *testing.T) {
	for _, stands := range []int{10, 1000} {
		hips, shoulders, bends, truth := map[int]r2.Vec{}, map[int]r2.Vec{}, map[int]float64{}, map[int]r2.Vec{}
		for n := range stands + 20 {
			down := math.Min(math.Max(float64(n-stands)/10, 0), 1) // 0 standing, 1 deep
			along := r2.Vec{X: -math.Sin(0.6 * down), Y: math.Cos(0.6 * down)}
			truth[n] = r2.Vec{X: 200, Y: 300 + 60*down}
			shoulders[n] = r2.Sub(truth[n], r2.Scale(100, along))
			hips[n] = r2.Add(truth[n], r2.Scale(4-8*down, along))
			bends[n] = 0.2 * down
		}
		delete(shoulders, 3)
		shoulders[4] = r2.Sub(truth[4], r2.Vec{X: 0, Y: 150}) // far off
		even := evenTrunk(hips, shoulders, bends)
		for n, at := range even {
			off, left := r2.Norm(r2.Sub(at, truth[n])), (1-slidesShare)*4
			switch {
			case (n == 3 || n == 4) && at != hips[n]:
				t.Errorf("the hip of frame %d, whose shoulder is not seen or far off, was moved to %v", n, at)
			case n != 3 && n != 4 && off > left+1e-9:
				t.Errorf("standing for %d frames, frame %d: off by %.2f px, want no more than %.2f", stands, n, off, left)
			}
		}
	}
}

// A person never seen to bend keeps the net's hips to the length they have anyway.
func TestAStandingTrunkIsItsOwnMeasure(t *testing.T) {
	hips, shoulders, bends := map[int]r2.Vec{}, map[int]r2.Vec{}, map[int]float64{}
	for n := range 9 {
		hips[n], shoulders[n], bends[n] = r2.Vec{X: 200, Y: 300}, r2.Vec{X: 200, Y: 200}, 0
	}
	for n, at := range evenTrunk(hips, shoulders, bends) {
		if at != hips[n] {
			t.Errorf("frame %d: moved to %v", n, at)
		}
	}
}
