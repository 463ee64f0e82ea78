package track

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/flow"
	"steadfall/video/pose"
)

// The smoother's path and variances are those of the weighted least squares fit to the
// same measurements, solved at once by gonum: unknowns are position and offset of every
// frame.
func TestSmoothIsLeastSquares(t *testing.T) {
	const frames = 12
	rng := rand.New(rand.NewPCG(7, 7))
	e := pose.Error{Offset: r2.Vec{X: 1.5, Y: 0}, OffsetSD: 2, Strays: 1, Fresh: 0.8, Drift: 0.01, Slip: 0.2}
	const lostVar = 9.0
	steps := &flow.Course{}
	steps.Lose(frames - 1)
	for i := range frames - 1 {
		steps.Put(i, flow.Step{D: r2.Vec{X: 3 + rng.NormFloat64(), Y: 0}, SD: 0.2 + 0.1*rng.Float64(), OK: i != 4})
	}
	net := map[int]r2.Vec{0: {X: 1}, 2: {X: 8}, 3: {X: 11.5}, 7: {X: 22}, 11: {X: 35}}
	hand := map[int]fix{5: {r2.Vec{X: 14, Y: 0}, 0.5}, 9: {r2.Vec{X: 26, Y: 0}, 0.7}}

	fit := leastSquares{unknowns: 2 * frames}
	fit.row(e.Offset.X, e.OffsetSD, map[int]float64{frames: 1})
	for i := range frames - 1 {
		s := steps.At(i)
		d, v, o := s.D.X, s.SD*s.SD, e.Drift+e.Slip*r2.Norm(s.D)
		if !s.OK {
			d, v, o = 0, lostVar, e.Drift
		}
		fit.row(d, math.Sqrt(v), map[int]float64{i: -1, i + 1: 1})
		// An offset of variance 2² + 1² in the end, whose increments have that variance at first.
		kept := math.Exp(-o / 2 / 5)
		fit.row(1.5*(1-kept), math.Sqrt(5*(1-kept*kept)), map[int]float64{frames + i: -kept, frames + i + 1: 1})
	}
	for i, z := range net {
		fit.row(z.X, e.Fresh, map[int]float64{i: 1, frames + i: 1})
	}
	for i, f := range hand {
		fit.row(f.at.X, f.sd, map[int]float64{i: 1})
	}
	want, wantSD := fit.solve(t)
	pos, sd := smoother{net: e, lostVar: lostVar}.path(frames, steps, net, hand)
	for i := range frames {
		if math.Abs(pos[i].X-want[i]) > 1e-5 || math.Abs(sd[i]-wantSD[i]) > 1e-5 {
			t.Errorf("frame %d: %.6f ± %.6f, least squares %.6f ± %.6f", i, pos[i].X, sd[i], want[i], wantSD[i])
		}
	}
}

// Landing after landing in one long clip, a point is known as well as before.
func TestSmoothKnowsLateLandingsAsWell(t *testing.T) {
	const landing, times = 300, 20 // frames, and how often
	steps := &flow.Course{}
	net := map[int]r2.Vec{}
	at := r2.Vec{X: 100, Y: 300}
	for i := range landing * times {
		d := r2.Vec{}
		switch k := i % landing; {
		case k >= 100 && k < 120:
			d.Y = 5
		case k >= 250 && k < 270:
			d.Y = -5
		}
		net[i] = at
		at = r2.Add(at, d)
		steps.Lose(1)
		steps.PutLast(flow.Step{D: d, SD: 0.3, OK: true})
	}
	e, _ := pose.ErrorOf(kinematics.On(kinematics.Left, kinematics.Knee), kinematics.Front)
	_, sd := smoother{net: e.Scaled(400, 1.0/60), lostVar: 9}.path(steps.Count()+1, steps, net, nil)
	sixth, late := sd[5*landing+130], sd[(times-2)*landing+130]
	if math.Abs(late-sixth) > 0.03*sixth {
		t.Errorf("the sixth landing's point is known to %.2f px, the one before the last to %.2f px", sixth, late)
	}
}

// One landmark through a clip of 10 s at 60 frames a second, seen by the net on every second.
func BenchmarkSmooth(b *testing.B) {
	steps := &flow.Course{}
	steps.Lose(599)
	net := map[int]r2.Vec{}
	for i := range steps.Count() {
		steps.Put(i, flow.Step{D: r2.Vec{X: 1, Y: 0.5}, SD: 0.2, OK: true})
		if i%2 == 0 {
			net[i] = r2.Vec{X: float64(i), Y: float64(i) / 2}
		}
	}
	s := smoother{net: pose.Error{OffsetSD: 2, Strays: 2, Fresh: 1, Drift: 1e-4, Slip: 1e-4}, lostVar: 9}
	for b.Loop() {
		s.path(600, steps, net, nil)
	}
}

// One net point that jumps away does not pull the path with it.
func TestSmoothDoubtsASurprise(t *testing.T) {
	steps := &flow.Course{}
	steps.Lose(20)
	net := map[int]r2.Vec{}
	for i := range steps.Count() {
		steps.Put(i, flow.Step{SD: 0.1, OK: true})
		net[i] = r2.Vec{X: 10, Y: 10}
	}
	net[10] = r2.Vec{X: 90, Y: 10}
	pos, _ := smoother{net: pose.Error{OffsetSD: 2, Strays: 2, Fresh: 1, Drift: 1e-4, Slip: 1e-4}, lostVar: 9}.path(21, steps, net, nil)
	if d := pos[10].X - 10; math.Abs(d) > 1 {
		t.Errorf("the path is pulled %.1f px off", d)
	}
}

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
func TestAloneIsLeastSquares(t *testing.T) {
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
	pos, sd := smoother{net: pose.Error{OffsetSD: 1, Strays: 1}, lostVar: lostVar, alone: true}.path(frames, steps, nil, fixes)
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
	doubtSteps(steps, map[int]fix{0: {r2.Vec{X: 0, Y: 0}, 1}, 4: {r2.Vec{X: 30, Y: 0}, 1}})
	var sum float64
	for i := range steps.Count() {
		sum += steps.At(i).SD * steps.At(i).SD
	}
	if want := 10*10/2. - 1 - 1; math.Abs(sum-want) > 1e-5 { // x and y share the miss; the placements have their part
		t.Errorf("the steps' variances come to %.4f px², want %.4f", sum, want)
	}
}
