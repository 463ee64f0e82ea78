package kinematics

import (
	"errors"
	"math"
	"os"
	"testing"
)

// A figure that falls from rest and stops: seen from the front at 60 a second, 400 px tall, its feet
// on the floor at fallsS + √(2h/g) and its hips 40 px lower 0.2 s later.
const (
	fallsS = 1.0
	fallPx = 80.0 // of 400 for 170 cm: 34 cm
	sinkPx = 40.0
)

// figure is its track, and when it lands.
func figure() (t Track, contactS float64) {
	pxPerM := 400 / 1.70
	contactS = fallsS + math.Sqrt(2*fallPx/pxPerM/Gravity)
	var frames []int
	var times []float64
	for i := range 240 {
		frames, times = append(frames, i), append(times, float64(i)/60)
	}
	t = NewTrack(Front, 1080, 1920, frames, times)
	height := map[Part]float64{Shoulder: shoulderHeight, Hip: hipHeight, Knee: 0.285, Ankle: ankleHeight, Heel: 0, Toe: 0}
	wide := map[Part]float64{Shoulder: 45, Hip: 30, Knee: 28, Ankle: 26, Heel: 26, Toe: 30}
	for i, at := range times {
		fall := math.Min(pxPerM*Gravity*sq(math.Max(at-fallsS, 0))/2, fallPx)
		sink := sinkPx * (1 - math.Cos(math.Pi*math.Min(math.Max((at-contactS)/0.2, 0), 1))) / 2
		for part, h := range height {
			lower := fall + sink*math.Min(h/hipHeight, 1) // ankles and feet hardly sink
			if part == Ankle || part == Heel || part == Toe {
				lower = fall
			}
			for side, sign := range map[Side]float64{Left: 1, Right: -1} {
				t.Points[On(side, part)][i] = Point{X: 540 + sign*wide[part], Y: 1000 - 400*h + lower, SD: 1.5, Source: Placed}
			}
		}
	}
	return t, contactS
}

// Each stage can be called by itself, and gives what the next one takes.
func TestStages(t *testing.T) {
	track, contactS := figure()
	opt := Options{Task: DropLanding, StatureCM: 170, Seed: 1}
	p, err := prepare(track, opt)
	if err != nil {
		t.Fatal(err)
	}
	if p.n != 240 || math.Abs(p.fs-60) > 1e-6 || math.Abs(p.stood.body-400) > 2 {
		t.Errorf("%d samples at %g Hz, %g px tall", p.n, p.fs, p.stood.body)
	}
	s, err := detect(p)
	if err != nil {
		t.Fatal(err)
	}
	for _, side := range []Side{Left, Right} {
		if off := s.when.contact[side] - contactS; math.Abs(off) > 0.25/60 {
			t.Errorf("the %s foot is down %.4f s late", side, off)
		}
	}
	if s.hold.ending != HeldToEnd || math.Abs(s.when.lowest-contactS-0.2) > 0.1 {
		t.Errorf("lowest at %g s after %g s, %s", s.when.lowest, contactS, s.hold.ending)
	}
	if b := s.timeBase(); b.doubt != nil || b.gravity.Verdict != GravityAgrees || s.sc.From != FromHeight {
		t.Errorf("time base %+v, scale %+v", b, s.sc)
	}
	all := s.measures()
	base := s.take(all)
	depth := key{"landing_depth", Both}
	one, same, other := s.perturb(all, base, 5, 1), s.perturb(all, base, 5, 1), s.perturb(all, base, 5, 2)
	if one[depth].sd != same[depth].sd || one[depth].sd == other[depth].sd {
		t.Errorf("± %g and ± %g of one seed, ± %g of another", one[depth].sd, same[depth].sd, other[depth].sd)
	}
	if d, want := one[depth], sinkPx*170/400; math.Abs(d.v-want) > 2*d.sd || d.sd > 0.1*want {
		t.Errorf("%g ± %g cm deep, want %g", d.v, d.sd, want)
	}
	// 200 draws tell a standard deviation to 1/√(2·200) = 5 % (of normal values, any textbook).
	if r := one[depth].sd / other[depth].sd; r < 0.8 || r > 1.25 {
		t.Errorf("± %g by one seed, ± %g by another", one[depth].sd, other[depth].sd)
	}
}

// A track in which nobody lands is prepared all the same; when what happens is not found.
func TestARunIsPreparedAndNotDetected(t *testing.T) {
	f, err := os.Open("testdata/run.side.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	track, err := ReadTrack(f, SideRight)
	if err != nil {
		t.Fatal(err)
	}
	p, err := prepare(track, Options{Task: DropLanding})
	if err != nil {
		t.Fatal(err)
	}
	var none *NoLandingError
	if _, err := detect(p); !errors.As(err, &none) || none.Note.Code != NoLandingRunsOn {
		t.Errorf("detected in a run: %v", err)
	}
}
