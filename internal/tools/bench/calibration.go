package main

import (
	"fmt"
	"io"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"text/tabwriter"

	"golang.org/x/sync/errgroup"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// simTrial is one simulated landing with what is true and what was measured of it.
type simTrial struct {
	landing kinematics.Landing
	truth   map[string]map[kinematics.Side]float64
	err     error
}

// calibration prints how often the stated intervals hold the truth, and how often
// findings are wrong, over simulated landings with seeded errors.
func calibration(w io.Writer, trials int, pool tallies) error {
	jumps := trials / 2
	all := make([]simTrial, trials+jumps)
	var g errgroup.Group
	g.SetLimit(2)
	for i := range all {
		g.Go(func() error {
			if i < trials {
				all[i] = simulate(uint64(i + 1))
			} else {
				all[i] = simulateJump(uint64(i + 1))
			}
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return err
	}
	failed := 0
	for _, t := range all {
		if t.err != nil {
			failed++
		}
	}
	fmt.Fprintf(w, "%d simulated landings and %d jumps, %d without a result.\n", trials, jumps, failed)
	pool.join(intervals(w, all))
	return findings(w, all)
}

// simulate measures one landing of random size, depth, knee angles, lean, rate, view,
// camera and point errors. Values reach as far past their thresholds as before them: a
// stated probability is that of a reader who knows nothing beforehand.
func simulate(seed uint64) simTrial {
	rng := rand.New(rand.NewPCG(seed, 0xca1))
	uniform := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	s := simulated.Landing{
		View: kinematics.Front, FPS: []float64{30, 60, 120}[rng.IntN(3)],
		StatureCM: uniform(155, 200), PxPerCM: uniform(2.5, 6), BoxCM: uniform(20, 45), DepthCM: uniform(8, 30),
		FPPADeg:   map[kinematics.Side]float64{kinematics.Left: uniform(-8, 22), kinematics.Right: uniform(-8, 22)},
		KneesMove: true, LeanDeg: uniform(-14, 14), TiltDeg: uniform(-14, 14), SwayCM: uniform(0.2, 2), SlipCM: uniform(0, 2), HeelUpCM: uniform(0, 8),
		HoldS: 3, YawDeg: 5 * rng.NormFloat64(), RollDeg: rng.NormFloat64(),
	}
	if rng.IntN(2) == 1 {
		s.View = kinematics.SideRight
		s.HeelUpCM = uniform(-4, 8) // from the front the shoe hides a heel that comes first
	}
	s.SD = uniform(0.003, 0.012) * s.StatureCM * s.PxPerCM // from placed by hand to placed by the net
	tr, exact := s.Track()
	simulated.Blur(tr, s.StatureCM*s.PxPerCM, rng)
	length := 100 * s.PxPerCM * (1 + 0.01*rng.NormFloat64())
	opt := kinematics.Options{
		Task: kinematics.DropLanding, Limb: kinematics.Both, Length: &kinematics.KnownLength{CM: 100, X2: length}, Seed: seed,
	}
	l, err := kinematics.Derive(tr, opt)
	out := simTrial{landing: l, err: err, truth: undisturbed(s, opt)}
	for _, e := range l.Events {
		if e.Name == kinematics.InitialContact && (s.View == kinematics.Front || e.Side == kinematics.Right) {
			m := kinematics.Measure{Name: "contact (ms)", Side: e.Side, Value: 1000 * e.TimeS, SD: 1000 * e.SDS}
			out.landing.Measures = append(out.landing.Measures, m)
			if out.truth[m.Name] == nil {
				out.truth[m.Name] = map[kinematics.Side]float64{}
			}
			out.truth[m.Name][e.Side] = 1000 * exact.ContactS
		}
	}
	return out
}

// simulateJump is the same for a jump from standing, from a held squat, or off a box. Only
// what is measured of the jump itself counts.
func simulateJump(seed uint64) simTrial {
	rng := rand.New(rand.NewPCG(seed, 0xca1))
	uniform := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	j := simulated.Jumps{
		View: []kinematics.View{kinematics.Front, kinematics.SideRight}[rng.IntN(2)], FPS: []float64{60, 120}[rng.IntN(2)],
		StatureCM: uniform(155, 200), PxPerCM: uniform(3, 5), SquatCM: uniform(22, 35), FlightS: []float64{uniform(0.35, 0.6)}, DepthCM: uniform(12, 28),
	}
	task := kinematics.CountermovementJump
	switch rng.IntN(3) {
	case 1:
		task, j.SquatS, j.DipCM = kinematics.SquatJump, uniform(0.8, 2), uniform(0, 4)
	case 2:
		task, j.BoxCM, j.SquatCM, j.ContactS = kinematics.DropJump, uniform(25, 40), 0, []float64{uniform(0.18, 0.35)}
	}
	measure := func(j simulated.Jumps, fps, sd float64, wrong float64) (kinematics.Landing, error) {
		j.FPS, j.SD = fps, sd
		tr := j.Track()
		if wrong > 0 {
			simulated.Blur(tr, j.StatureCM*j.PxPerCM, rng)
		}
		length := 100 * j.PxPerCM * (1 + wrong*rng.NormFloat64())
		return kinematics.Derive(tr, kinematics.Options{Task: task, Limb: kinematics.Both, Length: &kinematics.KnownLength{CM: 100, X2: length}, Seed: seed})
	}
	l, err := measure(j, j.FPS, uniform(0.003, 0.012)*j.StatureCM*j.PxPerCM, 0.01)
	out := simTrial{landing: kinematics.Landing{}, err: err, truth: map[string]map[kinematics.Side]float64{}}
	exact, exactErr := measure(j, 240, 0.01, 0)
	if err != nil || exactErr != nil {
		return out
	}
	for _, m := range l.Measures {
		t, ok := exact.Measure(m.Name, m.Side)
		if !ok || !slices.Contains(jumpMeasures, m.Name) {
			continue
		}
		out.landing.Measures = append(out.landing.Measures, m)
		out.truth[m.Name] = map[kinematics.Side]float64{m.Side: t.Value}
	}
	return out
}

// jumpMeasures are what only jumps have.
var jumpMeasures = []string{
	"flight_time", "jump_height", "hip_rise", "posture_bias", "contact_time", "reactive_strength", "flight_contact_ratio",
	"countermovement_depth", "squat_hold", "squat_dip",
}

// undisturbed is what the measures of a landing are when its points, scale and camera
// are exact and the frames dense: the truth where the motion has no closed form for it.
func undisturbed(s simulated.Landing, opt kinematics.Options) map[string]map[kinematics.Side]float64 {
	s.FPS, s.YawDeg, s.RollDeg, s.SD = 240, 0, 0, 0.01
	tr, _ := s.Track()
	opt.Length = &kinematics.KnownLength{CM: 100, X2: 100 * s.PxPerCM}
	out := map[string]map[kinematics.Side]float64{}
	l, err := kinematics.Derive(tr, opt)
	if err != nil {
		return out
	}
	for _, m := range l.Measures {
		if out[m.Name] == nil {
			out[m.Name] = map[kinematics.Side]float64{}
		}
		out[m.Name][m.Side] = m.Value
	}
	return out
}

func intervals(w io.Writer, all []simTrial) tallies {
	counts := tallies{}
	for _, t := range all {
		for _, m := range t.landing.Measures {
			truth, ok := t.truth[m.Name][m.Side]
			if !ok || t.err != nil || m.YesNo() {
				continue
			}
			counts.of(nameOf(m, len(t.truth[m.Name]) > 1)).add(m, truth)
		}
	}
	counts.print(w)
	return counts
}

// isError tells whether the true value is an error by the item.
func isError(it scoring.Item, truth float64) bool {
	if it.Absolute {
		truth = math.Abs(truth)
	}
	return (it.ErrorWhen == "above") == (truth > it.Threshold)
}

// findings prints, for all items of the checklist, how often an error is true at each stated
// probability, and how often sure findings are wrong.
func findings(w io.Writer, all []simTrial) error {
	list, err := scoring.Load(scoring.Default(2))
	if err != nil {
		return err
	}
	items, astray := map[string]scoring.Item{}, map[string]*[4]int{} // sure errors, wrong ones, clear, wrong ones
	for _, it := range list.Items {
		items[it.ID] = it
	}
	var bins [5]struct {
		n, wrong int
		said     float64
	}
	sure, wrong, close, n := 0, 0, 0, 0
	for _, t := range all {
		if t.err != nil {
			continue
		}
		for _, f := range scoring.Apply(list, []kinematics.Landing{t.landing}).Items {
			truth, ok := t.truth[f.Measure][f.Side]
			if !ok || f.Probability == nil {
				continue
			}
			isError := isError(items[f.ID], truth)
			b := &bins[min(int(*f.Probability*5), 4)]
			b.n++
			b.said += *f.Probability
			if isError {
				b.wrong++
			}
			n++
			switch f.Finding {
			case scoring.TooClose:
				close++
			case scoring.Error, scoring.Clear:
				sure++
				if astray[f.ID] == nil {
					astray[f.ID] = &[4]int{}
				}
				at := 0
				if f.Finding == scoring.Clear {
					at = 2
				}
				astray[f.ID][at]++
				if isError != (f.Finding == scoring.Error) {
					wrong++
					astray[f.ID][at+1]++
				}
			}
		}
	}
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "stated chance of an error\tfindings\tmean stated\ttrue")
	for i, b := range bins {
		fmt.Fprintf(t, "%.1f to %.1f\t%d\t%.0f %%\t%.0f %%\n", float64(i)/5, float64(i+1)/5, b.n, 100*b.said/math.Max(1, float64(b.n)), share(b.wrong, b.n))
	}
	t.Flush()
	fmt.Fprintf(w, "Sure findings: %d, wrong %.1f %% (5 %% allowed). Too close to call: %.0f %% of %d.\n", sure, share(wrong, sure), share(close, n), n)
	fmt.Fprintln(t, "item\tsure errors\twrong\tclear\twrong")
	for _, id := range slices.Sorted(maps.Keys(astray)) {
		c := astray[id]
		fmt.Fprintf(t, "%s\t%d\t%d\t%d\t%d\n", id, c[0], c[1], c[2], c[3])
	}
	return t.Flush()
}
