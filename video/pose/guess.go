package pose

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// The detector looks at the whole picture in a square of that side, in cells of
// these strides with this many guesses each.
const detectorSide = 224

var detectorCells = []struct{ stride, guesses int }{{8, 2}, {16, 2}, {32, 6}}

// detectorOutputs are its boxes with body points, by cell size, and their scores.
var detectorOutputs = []string{"t391", "t415", "t439", "t379", "t404", "t427"}

const (
	sureOfPerson = 0.5 // least score of a guess
	sameOverlap  = 0.3 // least overlap of two guesses at one person
	guessNumbers = 12  // box, then four body points
)

// guess is one guess at a person: its score, its box and the two points its region
// is made from, as shares of the detector's square.
type guess struct {
	score  float64
	box    [4]float64 // left, top, right, bottom
	centre r2.Vec     // the middle of the hips
	top    r2.Vec     // the top of the circle about the body
}

// guesses reads the detector's outputs, boxes and scores by cell size. Each cell's numbers lie one
// plane apart.
func guesses(boxes, scores [][]float32) []guess {
	var gs []guess
	for i, c := range detectorCells {
		n := detectorSide / c.stride
		box, score := boxes[i], scores[i]
		plane := n * n
		for cell := range plane {
			mid := r2.Vec{X: (float64(cell%n) + 0.5) / float64(n), Y: (float64(cell/n) + 0.5) / float64(n)}
			for k := range c.guesses {
				s := logistic(float64(score[k*plane+cell]))
				if s < sureOfPerson {
					continue
				}
				v := func(j int) float64 { return float64(box[(k*guessNumbers+j)*plane+cell]) / detectorSide }
				x, y, hw, hh := v(0)+mid.X, v(1)+mid.Y, v(2)/2, v(3)/2
				gs = append(gs, guess{
					s,
					[4]float64{x - hw, y - hh, x + hw, y + hh},
					r2.Vec{X: v(4) + mid.X, Y: v(5) + mid.Y},
					r2.Vec{X: v(6) + mid.X, Y: v(7) + mid.Y},
				})
			}
		}
	}
	return gs
}

// merged joins the guesses at one person: the points of those that overlap the surest
// are averaged by their scores.
func merged(gs []guess) []guess {
	slices.SortStableFunc(gs, func(a, b guess) int {
		switch {
		case a.score > b.score:
			return -1
		case a.score < b.score:
			return 1
		}
		return 0
	})
	var out []guess
	for len(gs) > 0 {
		best := gs[0]
		var rest []guess
		var centre, top r2.Vec
		var sum float64
		for _, g := range gs {
			if overlap(best.box, g.box) <= sameOverlap {
				rest = append(rest, g)
				continue
			}
			centre, top, sum = r2.Add(centre, r2.Scale(g.score, g.centre)), r2.Add(top, r2.Scale(g.score, g.top)), sum+g.score
		}
		best.centre, best.top = r2.Scale(1/sum, centre), r2.Scale(1/sum, top)
		out, gs = append(out, best), rest
	}
	return out
}

// overlap is the area two boxes share over the area they cover.
func overlap(a, b [4]float64) float64 {
	area := func(r [4]float64) float64 { return math.Max(0, r[2]-r[0]) * math.Max(0, r[3]-r[1]) }
	both := area([4]float64{max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])})
	if all := area(a) + area(b) - both; all > 0 {
		return both / all
	}
	return 1 // two empty boxes
}
