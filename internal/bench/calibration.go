package main

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
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
func calibration(w io.Writer, trials int) error {
	all := make([]simTrial, trials)
	var g errgroup.Group
	g.SetLimit(2)
	for i := range all {
		g.Go(func() error {
			all[i] = simulate(uint64(i + 1))
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
	fmt.Fprintf(w, "%d simulated landings, %d without a result.\n", trials, failed)
	intervals(w, all)
	return findings(w, all)
}

// simulate measures one landing of random size, depth, knee angles, rate, view and
// point errors.
func simulate(seed uint64) simTrial {
	rng := rand.New(rand.NewPCG(seed, 0xca1))
	uniform := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	s := simulated.Landing{
		View: kinematics.Front, FPS: []float64{30, 60, 120}[rng.IntN(3)],
		StatureCM: uniform(155, 200), PxPerCM: uniform(2.5, 6), BoxCM: uniform(20, 45), DepthCM: uniform(12, 30),
		FPPADeg: map[kinematics.Side]float64{kinematics.Left: uniform(-8, 22), kinematics.Right: uniform(-8, 22)},
		HoldS:   3, YawDeg: 5 * rng.NormFloat64(),
	}
	if rng.IntN(2) == 1 {
		s.View = kinematics.SideRight
	}
	s.SD = uniform(0.003, 0.012) * s.StatureCM * s.PxPerCM // from placed by hand to placed by the net
	tr, truth := s.Track()
	blur(tr, s.FPS, rng)
	length := 100 * s.PxPerCM * (1 + 0.01*rng.NormFloat64())
	l, err := kinematics.Derive(tr, kinematics.Options{
		Task: kinematics.DropLanding, Limb: kinematics.Both, Length: &kinematics.KnownLength{CM: 100, X2: length}, Seed: seed,
	})
	both := func(v float64) map[kinematics.Side]float64 { return map[kinematics.Side]float64{kinematics.Both: v} }
	out := simTrial{landing: l, err: err, truth: map[string]map[kinematics.Side]float64{"landing_depth": both(s.DepthCM)}}
	if s.View == kinematics.Front {
		for _, name := range []string{"fppa_contact", "fppa_peak", "fppa_lowest", "fppa_hold"} {
			out.truth[name] = map[kinematics.Side]float64{
				kinematics.Left: s.FPPADeg[kinematics.Left], kinematics.Right: s.FPPADeg[kinematics.Right],
				kinematics.Both: (s.FPPADeg[kinematics.Left] + s.FPPADeg[kinematics.Right]) / 2,
			}
		}
		out.truth["contact_gap"], out.truth["trunk_lean"] = both(0), both(0)
	} else {
		out.truth["knee_flexion_peak"] = map[kinematics.Side]float64{kinematics.Right: truth.KneeFlexionPeak}
	}
	for _, e := range l.Events {
		if e.Name == kinematics.InitialContact && (s.View == kinematics.Front || e.Side == kinematics.Right) {
			m := kinematics.Measure{Name: "contact (ms)", Side: e.Side, Value: 1000 * e.TimeS, SD: 1000 * e.SDS}
			out.landing.Measures = append(out.landing.Measures, m)
			if out.truth[m.Name] == nil {
				out.truth[m.Name] = map[kinematics.Side]float64{}
			}
			out.truth[m.Name][e.Side] = 1000 * truth.ContactS
		}
	}
	return out
}

// blur moves every point as points err: half of the variance stays for the clip, half
// wanders with a time constant of half a second.
func blur(tr kinematics.Track, fps float64, rng *rand.Rand) {
	keep := math.Exp(-1 / (0.5 * fps))
	for _, l := range kinematics.Landmarks() {
		var fixed, drift [2]float64
		for k := range 2 {
			fixed[k], drift[k] = rng.NormFloat64(), rng.NormFloat64()
		}
		ps := tr.Points[l]
		for i := range ps {
			ps[i].X += ps[i].SD * (fixed[0] + drift[0]) / math.Sqrt2
			ps[i].Y += ps[i].SD * (fixed[1] + drift[1]) / math.Sqrt2
			for k := range 2 {
				drift[k] = keep*drift[k] + math.Sqrt(1-keep*keep)*rng.NormFloat64()
			}
		}
	}
}

func intervals(w io.Writer, all []simTrial) {
	type count struct{ n, in68, in95 int }
	counts := map[string]*count{}
	var order []string
	var total count
	for _, t := range all {
		for _, m := range t.landing.Measures {
			truth, ok := t.truth[m.Name][m.Side]
			if !ok || t.err != nil {
				continue
			}
			name := m.Name
			if m.Side == kinematics.Both && len(t.truth[m.Name]) > 1 {
				name += ", mean of legs"
			}
			c := counts[name]
			if c == nil {
				c = &count{}
				counts[name] = c
				order = append(order, name)
			}
			z := math.Abs(m.Value-truth) / m.SD
			for _, k := range []*count{c, &total} {
				k.n++
				if z <= 1 {
					k.in68++
				}
				if z <= 1.96 {
					k.in95++
				}
			}
		}
	}
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "measure\tn\t68 % intervals hold\t95 % intervals hold")
	for _, name := range order {
		c := counts[name]
		fmt.Fprintf(t, "%s\t%d\t%.0f %%\t%.1f %%\n", name, c.n, share(c.in68, c.n), share(c.in95, c.n))
	}
	fmt.Fprintf(t, "all\t%d\t%.0f %%\t%.1f %%\n", total.n, share(total.in68, total.n), share(total.in95, total.n))
	t.Flush()
}

// findings prints, for the knee falling in, how often an error is true at each stated
// probability, and how often sure findings are wrong.
func findings(w io.Writer, all []simTrial) error {
	list, err := scoring.Load(scoring.Default(2))
	if err != nil {
		return err
	}
	var bins [5]struct {
		n, wrong int
		said     float64
	}
	sure, wrong, close, n := 0, 0, 0, 0
	for _, t := range all {
		if t.err != nil || t.landing.View != kinematics.Front {
			continue
		}
		for _, f := range scoring.Apply(list, []kinematics.Landing{t.landing}).Items {
			truth, ok := t.truth[f.Measure][f.Side]
			if !ok || f.Probability == nil {
				continue
			}
			isError := truth > *f.Threshold
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
				if isError != (f.Finding == scoring.Error) {
					wrong++
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
	return nil
}
