package video

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
)

// leastSquares is a weighted fit, solved at once by gonum.
type leastSquares struct {
	unknowns int
	a, b     []float64
}

// row adds a measurement: value = coefficients · unknowns, known to sd.
func (s *leastSquares) row(value, sd float64, coefficients map[int]float64) {
	r := make([]float64, s.unknowns)
	for k, v := range coefficients {
		r[k] = v / sd
	}
	s.a, s.b = append(s.a, r...), append(s.b, value/sd)
}

// solve returns the unknowns and their standard deviations.
func (s *leastSquares) solve(t *testing.T) (x, sd []float64) {
	m := mat.NewDense(len(s.b), s.unknowns, s.a)
	var normal, inverse mat.Dense
	normal.Mul(m.T(), m)
	if err := inverse.Inverse(&normal); err != nil {
		t.Fatal(err)
	}
	var right, best mat.VecDense
	right.MulVec(m.T(), mat.NewVecDense(len(s.b), s.b))
	best.MulVec(&inverse, &right)
	for i := range s.unknowns {
		x, sd = append(x, best.AtVec(i)), append(sd, math.Sqrt(inverse.At(i, i)))
	}
	return x, sd
}

// The path between and beyond two placements, and its variances, are those of the weighted least
// squares fit to the same fixes and steps; so they are where a step failed.
func TestFuseIsLeastSquares(t *testing.T) {
	const frames, lostVar = 12, 9.0
	rng := rand.New(rand.NewPCG(3, 3))
	fixes := map[int]fix{2: {r2.Vec{X: 10, Y: 0}, 0.5}, 9: {r2.Vec{X: 31.5, Y: 0}, 0.7}}
	steps := &course{}
	steps.lose(frames - 1)
	fit := leastSquares{unknowns: frames}
	for i := range steps.count() {
		steps.put(i, step{D: r2.Vec{X: 3 + 0.2*rng.NormFloat64(), Y: 0}, SD: 0.3 + 0.1*rng.Float64(), OK: i != 5})
		d, sd := steps.at(i).D.X, steps.at(i).SD
		if i == 5 {
			d, sd = 0, math.Sqrt(lostVar)
		}
		fit.row(d, sd, map[int]float64{i: -1, i + 1: 1})
	}
	for i, f := range fixes {
		fit.row(f.at.X, f.sd, map[int]float64{i: 1})
	}
	want, wantSD := fit.solve(t)
	pos, sd := fuse(frames, steps, fixes, lostVar)
	for i := range frames {
		if math.Abs(pos[i].X-want[i]) > 1e-9 || math.Abs(sd[i]-wantSD[i]) > 1e-9 {
			t.Errorf("frame %d: %.6f ± %.6f, least squares %.6f ± %.6f", i, pos[i].X, sd[i], want[i], wantSD[i])
		}
	}
}

// A chain that misses the second placement by ten pixels, when its steps say a half, doubts them
// until the miss is what they say.
func TestStepsThatDoNotCloseAreDoubted(t *testing.T) {
	steps := &course{}
	steps.lose(4)
	for i := range steps.count() {
		steps.put(i, step{D: r2.Vec{X: 5, Y: 0}, SD: 0.25, OK: true})
	}
	steps.beHonest(map[int]fix{0: {r2.Vec{X: 0, Y: 0}, 1}, 4: {r2.Vec{X: 30, Y: 0}, 1}})
	var sum float64
	for i := range steps.count() {
		sum += steps.at(i).SD * steps.at(i).SD
	}
	if want := 10*10/2. - 1 - 1; math.Abs(sum-want) > 1e-5 { // x and y share the miss; the placements have their part
		t.Errorf("the steps' variances come to %.4f px², want %.4f", sum, want)
	}
}

// A course of any length gives back what was put into it; where the flow failed there is no
// step, whatever was measured.
func TestCourse(t *testing.T) {
	var c course
	c.lose(blockSteps - 1)
	want := step{D: r2.Vec{X: 1.5, Y: -2}, SD: 0.25, OK: true}
	for range 3 { // the last one of a block and the first ones of the next
		c.lose(1)
		c.putLast(want)
	}
	c.put(blockSteps, step{D: r2.Vec{X: 7, Y: 7}, SD: 0.1})
	for i := range c.count() {
		w := step{}
		if i == blockSteps-1 || i == blockSteps+1 {
			w = want
		}
		if got := c.at(i); got != w {
			t.Errorf("step %d: %+v, want %+v", i, got, w)
		}
	}
}
