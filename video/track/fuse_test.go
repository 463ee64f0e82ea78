package track

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/video/flow"
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
	steps := &flow.Course{}
	steps.Lose(frames - 1)
	fit := leastSquares{unknowns: frames}
	for i := range steps.Count() {
		steps.Put(i, flow.Step{D: r2.Vec{X: 3 + 0.2*rng.NormFloat64(), Y: 0}, SD: 0.3 + 0.1*rng.Float64(), OK: i != 5})
		d, sd := steps.At(i).D.X, steps.At(i).SD
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
	steps := &flow.Course{}
	steps.Lose(4)
	for i := range steps.Count() {
		steps.Put(i, flow.Step{D: r2.Vec{X: 5, Y: 0}, SD: 0.25, OK: true})
	}
	beHonest(steps, map[int]fix{0: {r2.Vec{X: 0, Y: 0}, 1}, 4: {r2.Vec{X: 30, Y: 0}, 1}})
	var sum float64
	for i := range steps.Count() {
		sum += steps.At(i).SD * steps.At(i).SD
	}
	if want := 10*10/2. - 1 - 1; math.Abs(sum-want) > 1e-5 { // x and y share the miss; the placements have their part
		t.Errorf("the steps' variances come to %.4f px², want %.4f", sum, want)
	}
}
