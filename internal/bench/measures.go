package main

import (
	"context"
	"fmt"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"text/tabwriter"

	"steadfall/internal/synthetic"
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

// findingsKey counts, under a name that no measure has, the findings and those too close.
const findingsKey = "findings"

func (t tallies) of(name string) *tally {
	if t[name] == nil {
		t[name] = &tally{}
	}
	return t[name]
}

// print prints a line for each measure and one for all together.
func (t tallies) print(w io.Writer) {
	tab := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(tab, "measure\tn\t68 % intervals hold\t95 % intervals hold\tmean, RMS error in sds")
	line := func(name string, c *tally) {
		n := float64(max(c.n, 1))
		fmt.Fprintf(tab, "%s\t%d\t%.0f %%\t%.1f %%\t%+.2f, %.2f\n", name, c.n, share(c.in68, c.n), share(c.in95, c.n), c.sum/n, math.Sqrt(c.squares/n))
	}
	all := &tally{}
	for _, name := range slices.Sorted(maps.Keys(t)) {
		c := t[name]
		if name == findingsKey {
			continue
		}
		all.n, all.in68, all.in95, all.sum, all.squares = all.n+c.n, all.in68+c.in68, all.in95+c.in95, all.sum+c.sum, all.squares+c.squares
		line(name, c)
	}
	line("all", all)
	tab.Flush()
	if f := t[findingsKey]; f != nil {
		fmt.Fprintf(w, "Findings on the clips of 60 frames a second: %d, %.0f %% too close to call.\n", f.n, share(f.in68, f.n))
	}
}

// everyMeasure prints how often the intervals of every measure hold what the true points
// of the clips give: with points placed automatically on the clips and their spoilt
// copies, and by hand.
func everyMeasure(ctx context.Context, w io.Writer, nets video.Nets, seeds int, only, onlyVariant string) error {
	clips, err := synthetic.Clips(clipDir)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "steadfall-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	auto, hand := tallies{}, tallies{}
	for _, c := range clips {
		if only != "" && c.Name != only {
			continue
		}
		opt := kinematics.Options{Task: c.Task(), StatureCM: c.StatureCM, Length: &kinematics.KnownLength{CM: 100, X2: 100 * c.Truth.PxPerCM["contact"]}}
		truth, err := kinematics.Derive(c.Track(0.3), opt)
		if err != nil {
			return err
		}
		list, err := scoring.Load(scoring.Default(len(c.LandingFeet)))
		if err != nil {
			return err
		}
		compare := func(t tallies, tr kinematics.Track, opt kinematics.Options) {
			l, err := kinematics.Derive(tr, opt)
			if err != nil {
				fmt.Fprintf(w, "%s: %v\n", c.Name, err)
				return
			}
			for _, f := range scoring.Apply(list, []kinematics.Landing{l}).Items {
				if f.Probability == nil || c.FPS != 60 {
					continue
				}
				t.of(findingsKey).n++
				if f.Finding == scoring.TooClose {
					t.of(findingsKey).in68++
				}
			}
			for _, m := range l.Measures {
				if r, ok := truth.Measure(m.Name, m.Side); ok && m.Name != "toe_first" { // a yes or no has no interval
					t.of(m.Name).add(m, r.Value)
				}
			}
		}
		for _, v := range synthetic.Variants {
			if onlyVariant != "" && v.Name != onlyVariant {
				continue
			}
			path, err := v.Make(ctx, filepath.Join(clipDir, c.Name+".mp4"), dir)
			if err != nil {
				return err
			}
			people, err := video.Place(ctx, path, nets, video.Placements{}, nil)
			if err != nil {
				return err
			}
			_, tr := lander(people, c)
			spoilt := opt
			spoilt.Length = &kinematics.KnownLength{CM: 100, X2: 100 * c.Truth.PxPerCM["contact"] * v.Shrink}
			compare(auto, tr, spoilt)
		}
		for seed := range seeds {
			rng := c.Rand(uint64(seed + 1))
			tr, err := byHand(ctx, filepath.Join(clipDir, c.Name+".mp4"), c.Placements(c.CoachFrames(rng), 2, rng))
			if err != nil {
				return err
			}
			compare(hand, tr, opt)
		}
		fmt.Fprintln(os.Stderr, c.Name)
	}
	fmt.Fprintln(w, "Placed automatically, on the clips and their spoilt copies:")
	auto.print(w)
	fmt.Fprintf(w, "Placed by hand on 4 frames, %d times each clip:\n", seeds)
	hand.print(w)
	return nil
}
