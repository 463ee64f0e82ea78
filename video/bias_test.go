package video

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
)

// The smoother's path and variances are those of the weighted least squares fit to the
// same measurements, solved at once by gonum: unknowns are place and offset of every
// frame.
func TestWeighIsLeastSquares(t *testing.T) {
	const frames = 12
	rng := rand.New(rand.NewPCG(7, 7))
	e := netError{offset: r2.Vec{X: 1.5, Y: 0}, offsetSD: 2, strays: 1, fresh: 0.8, drift: 0.01, slip: 0.2}
	const lostVar = 9.0
	steps := &course{}
	steps.lose(frames - 1)
	for i := range frames - 1 {
		steps.put(i, step{D: r2.Vec{X: 3 + rng.NormFloat64(), Y: 0}, SD: 0.2 + 0.1*rng.Float64(), OK: i != 4})
	}
	net := map[int]r2.Vec{0: {X: 1}, 2: {X: 8}, 3: {X: 11.5}, 7: {X: 22}, 11: {X: 35}}
	hand := map[int]fix{5: {r2.Vec{X: 14, Y: 0}, 0.5}, 9: {r2.Vec{X: 26, Y: 0}, 0.7}}

	fit := leastSquares{unknowns: 2 * frames}
	fit.row(e.offset.X, e.offsetSD, map[int]float64{frames: 1})
	for i := range frames - 1 {
		s := steps.at(i)
		d, v, o := s.D.X, s.SD*s.SD, e.drift+e.slip*r2.Norm(s.D)
		if !s.OK {
			d, v, o = 0, lostVar, e.drift
		}
		fit.row(d, math.Sqrt(v), map[int]float64{i: -1, i + 1: 1})
		// An offset of variance 2² + 1² in the end, whose increments have that variance at first.
		kept := math.Exp(-o / 2 / 5)
		fit.row(1.5*(1-kept), math.Sqrt(5*(1-kept*kept)), map[int]float64{frames + i: -kept, frames + i + 1: 1})
	}
	for i, z := range net {
		fit.row(z.X, e.fresh, map[int]float64{i: 1, frames + i: 1})
	}
	for i, f := range hand {
		fit.row(f.at.X, f.sd, map[int]float64{i: 1})
	}
	want, wantSD := fit.solve(t)
	pos, sd := smoothBias(frames, steps, net, hand, e, lostVar)
	for i := range frames {
		if math.Abs(pos[i].X-want[i]) > 1e-5 || math.Abs(sd[i]-wantSD[i]) > 1e-5 {
			t.Errorf("frame %d: %.6f ± %.6f, least squares %.6f ± %.6f", i, pos[i].X, sd[i], want[i], wantSD[i])
		}
	}
}

// Landing after landing in one long clip, a point is known as well as before.
func TestWeighKnowsLateLandingsAsWell(t *testing.T) {
	const landing, times = 300, 20 // frames, and how often
	steps := &course{}
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
		steps.lose(1)
		steps.putLast(step{D: d, SD: 0.3, OK: true})
	}
	e, _ := errorOf(kinematics.On(kinematics.Left, kinematics.Knee), kinematics.Front)
	_, sd := smoothBias(steps.count()+1, steps, net, nil, e.scaled(400, 1.0/60), 9)
	sixth, late := sd[5*landing+130], sd[(times-2)*landing+130]
	if math.Abs(late-sixth) > 0.03*sixth {
		t.Errorf("the sixth landing's point is known to %.2f px, the one before the last to %.2f px", sixth, late)
	}
}

// One landmark through a clip of 10 s at 60 frames a second, seen by the net on every second.
func BenchmarkWeigh(b *testing.B) {
	steps := &course{}
	steps.lose(599)
	net := map[int]r2.Vec{}
	for i := range steps.count() {
		steps.put(i, step{D: r2.Vec{X: 1, Y: 0.5}, SD: 0.2, OK: true})
		if i%2 == 0 {
			net[i] = r2.Vec{X: float64(i), Y: float64(i) / 2}
		}
	}
	for b.Loop() {
		smoothBias(600, steps, net, nil, netError{offsetSD: 2, strays: 2, fresh: 1, drift: 1e-4, slip: 1e-4}, 9)
	}
}

// One net point that jumps away does not pull the path with it.
func TestWeighDoubtsASurprise(t *testing.T) {
	steps := &course{}
	steps.lose(20)
	net := map[int]r2.Vec{}
	for i := range steps.count() {
		steps.put(i, step{SD: 0.1, OK: true})
		net[i] = r2.Vec{X: 10, Y: 10}
	}
	net[10] = r2.Vec{X: 90, Y: 10}
	pos, _ := smoothBias(21, steps, net, nil, netError{offsetSD: 2, strays: 2, fresh: 1, drift: 1e-4, slip: 1e-4}, 9)
	if d := pos[10].X - 10; math.Abs(d) > 1 {
		t.Errorf("the path is pulled %.1f px off", d)
	}
}

func TestMergedGuesses(t *testing.T) {
	one := guess{score: 0.9, box: [4]float64{0, 0, 0.4, 0.8}, centre: r2.Vec{X: 0.2, Y: 0.4}, top: r2.Vec{X: 0.2, Y: 0}}
	near := guess{score: 0.6, box: [4]float64{0.02, 0, 0.42, 0.8}, centre: r2.Vec{X: 0.22, Y: 0.4}, top: r2.Vec{X: 0.22, Y: 0}}
	other := guess{score: 0.7, box: [4]float64{0.6, 0, 1, 0.8}, centre: r2.Vec{X: 0.8, Y: 0.4}, top: r2.Vec{X: 0.8, Y: 0}}
	got := merged([]guess{near, other, one})
	if len(got) != 2 || got[0].score != 0.9 || got[1].score != 0.7 {
		t.Fatalf("%+v", got)
	}
	if want := (0.9*0.2 + 0.6*0.22) / 1.5; math.Abs(got[0].centre.X-want) > 1e-12 {
		t.Errorf("the centre is at %v, want %v", got[0].centre.X, want)
	}
}

// An upright person's region is not turned; one who lies to the right is turned by 90°.
func TestRegionOf(t *testing.T) {
	up := regionOf(r2.Vec{X: 100, Y: 200}, r2.Vec{X: 100, Y: 120})
	if up.mid != (r2.Vec{X: 100, Y: 200}) || math.Abs(up.side-200) > 1e-9 || math.Abs(up.angle) > 1e-9 {
		t.Errorf("%+v", up)
	}
	if lying := regionOf(r2.Vec{X: 100, Y: 200}, r2.Vec{X: 180, Y: 200}); math.Abs(lying.angle-math.Pi/2) > 1e-9 {
		t.Errorf("%+v", lying)
	}
}

// The weighted middle of a heat map is the middle of its peak.
func TestRefined(t *testing.T) {
	heat := make([]float32, heatSide*heatSide)
	for i := range heat {
		heat[i] = -20
	}
	heat[10*heatSide+20], heat[10*heatSide+21] = 4, 4
	if u, v := refined(heat, 83, 41); math.Abs(u-82) > 1e-6 || math.Abs(v-40) > 1e-6 {
		t.Errorf("%v, %v", u, v)
	}
	if u, v := refined(heat, 200, 200); u != 200 || v != 200 { // no peak there
		t.Errorf("%v, %v", u, v)
	}
}
