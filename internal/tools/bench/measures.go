package main

import (
	"context"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"text/tabwriter"

	"steadfall/internal/testkit/synthetic"
	"steadfall/kinematics"
	"steadfall/scoring"
	"steadfall/video"
)

// tally counts how often intervals hold the truth.
type tally struct {
	n, in68, in95 int
	sum, squares  float64 // of the errors in standard deviations
}

func (c *tally) add(m kinematics.Measure, truth float64) {
	z := (m.Value - truth) / m.SD
	c.n++
	c.sum += z
	c.squares += z * z
	if math.Abs(z) <= 1 {
		c.in68++
	}
	if math.Abs(z) <= 1.96 {
		c.in95++
	}
}

// tallies is a tally for each measure.
type tallies map[string]*tally

func (t tallies) of(name string) *tally {
	if t[name] == nil {
		t[name] = &tally{}
	}
	return t[name]
}

// join adds what another has counted.
func (t tallies) join(other tallies) {
	for name, o := range other {
		c := t.of(name)
		c.n, c.in68, c.in95, c.sum, c.squares = c.n+o.n, c.in68+o.in68, c.in95+o.in95, c.sum+o.sum, c.squares+o.squares
	}
}

// nameOf is what a measure is counted as: the mean of both legs by itself.
func nameOf(m kinematics.Measure, ofLegs bool) string {
	if m.Side == kinematics.Both && ofLegs {
		return m.Name + ", mean of legs"
	}
	return m.Name
}

// print prints a line for each measure and one for all together.
func (t tallies) print(w io.Writer) {
	tab := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(tab, "measure\tn\t68 % intervals hold\t95 % intervals hold\tmean, RMS error in sds")
	line := func(name string, c *tally) {
		n := float64(max(c.n, 1))
		fmt.Fprintf(tab, "%s\t%d\t%.0f %%\t%.1f %%\t%+.2f, %.2f\n", name, c.n, share(c.in68, c.n), share(c.in95, c.n), c.sum/n, math.Sqrt(c.squares/n))
	}
	all := tallies{}
	for _, name := range slices.Sorted(maps.Keys(t)) {
		line(name, t[name])
		all.join(tallies{"all": t[name]})
	}
	line("all", all.of("all"))
	tab.Flush()
}

// sample is how the measures and findings of some landings did.
type sample struct {
	measures       tallies
	decided, close int // findings on the clips of 60 frames a second, and those too close
}

func (s *sample) print(w io.Writer) {
	s.measures.print(w)
	fmt.Fprintf(w, "Findings on the clips of 60 frames a second: %d, %.0f %% too close to call.\n", s.decided, share(s.close, s.decided))
}

// add measures a track of a clip and compares it with what the true points give.
func (s *sample) add(c synthetic.Truth, tr kinematics.Track, shrink float64) error {
	opt := func(pxPerCM float64) kinematics.Options {
		return kinematics.Options{Task: c.Task(), StatureCM: c.StatureCM, Length: &kinematics.KnownLength{CM: 100, X2: 100 * pxPerCM}}
	}
	truth, err := kinematics.Derive(c.Track(0.3), opt(c.Truth.PxPerCM["contact"]))
	if err != nil {
		return err
	}
	l, err := kinematics.Derive(tr, opt(c.Truth.PxPerCM["contact"]*shrink))
	if err != nil {
		return fmt.Errorf("%s: %w", c.Name, err)
	}
	for _, m := range l.Measures {
		if r, ok := truth.Measure(m.Name, m.Side); ok && !m.YesNo() {
			_, ofLegs := truth.Measure(m.Name, kinematics.Left)
			s.measures.of(nameOf(m, ofLegs)).add(m, r.Value)
		}
	}
	list, err := scoring.Load(scoring.Default(len(c.LandingFeet)))
	if err != nil {
		return err
	}
	for _, f := range scoring.Apply(list, []kinematics.Landing{l}).Items {
		if f.Probability == nil || c.FPS != 60 {
			continue
		}
		s.decided++
		if f.Finding == scoring.TooClose {
			s.close++
		}
	}
	return nil
}

// everyMeasure prints how often the intervals of every measure hold what the true points
// of the clips give: with points placed automatically on the clips and their spoilt
// copies, and by hand.
func everyMeasure(ctx context.Context, w io.Writer, nets video.Nets, seeds int, only, onlyVariant string, pool tallies) error {
	auto, hand := sample{measures: tallies{}}, sample{measures: tallies{}}
	err := spoilt(ctx, only, onlyVariant, func(c synthetic.Truth, v synthetic.Variant, path string) error {
		people, _, err := video.Place(ctx, path, nets, video.Placements{}, nil)
		if err != nil {
			return err
		}
		_, tr := lander(people, c)
		if err := auto.add(c, tr, v.Shrink); err != nil {
			return err
		}
		if v.Name != synthetic.Variants[0].Name { // by hand on the clip as it is only
			return nil
		}
		for seed := range seeds {
			rng := c.Rand(uint64(seed + 1))
			tr, err := byHand(ctx, path, c.Placements(c.CoachFrames(rng), 2, rng))
			if err != nil {
				return err
			}
			if err := hand.add(c, tr, 1); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "Placed automatically, on the clips and their spoilt copies:")
	auto.print(w)
	fmt.Fprintf(w, "Placed by hand on 4 frames, %d times each clip:\n", seeds)
	hand.print(w)
	pool.join(auto.measures)
	pool.join(hand.measures)
	return nil
}
