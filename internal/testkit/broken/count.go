package broken

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Count is what became of the landings that were broken in one way.
type Count struct {
	Broken              string
	Drawn, Refused      int
	Sure, Denied        int // findings that the truth knows, and those that it denies
	Counted, CountedBad int // trials that count towards a step, and those that the truth denies
}

// Counts draws landings with seeds from 0 and counts, by how they were broken.
func Counts(ctx context.Context, draws int, tell func(done int)) ([]Count, error) {
	out := make([]Count, len(breaks))
	for i, b := range breaks {
		out[i].Broken = b.name
	}
	results := make([]Count, draws)
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for n := range draws {
		g.Go(func() (err error) {
			if err := ctx.Err(); err != nil {
				return err
			}
			results[n], err = one(rand.New(rand.NewPCG(uint64(n), 0xb60ce)))
			if tell != nil {
				tell(n)
			}
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	for _, r := range results {
		c := &out[slices.IndexFunc(out, func(c Count) bool { return c.Broken == r.Broken })]
		c.Drawn += r.Drawn
		c.Refused += r.Refused
		c.Sure += r.Sure
		c.Denied += r.Denied
		c.Counted += r.Counted
		c.CountedBad += r.CountedBad
	}
	return out, nil
}

func one(rng *rand.Rand) (Count, error) {
	d := Draw(rng)
	c := Count{Broken: d.Broken, Drawn: 1}
	l, err := kinematics.Derive(d.Track, d.Options)
	if err != nil {
		c.Refused = 1
		return c, nil
	}
	feet, limb, ls := scoring.Judged(d.Options.Limb, []kinematics.Landing{l})
	name, stepID := scoring.Default(2), "two-foot-drop"
	if limb != kinematics.Both {
		name, stepID = scoring.Default(1), "one-foot-drop"
	}
	list, err := scoring.Load(name)
	if err != nil {
		return c, err
	}
	r := scoring.NewResult(kinematics.DropLanding, limb, ls, scoring.Apply(list, ls))
	r.Feet = &feet
	threshold := 0.0
	for _, f := range r.Score.Items {
		if f.ID == "knee-inside-toe" {
			threshold = *f.Threshold
		}
		if f.Finding != scoring.Error && f.Finding != scoring.Clear {
			continue
		}
		if denied, known := d.Denies(f); known {
			c.Sure++
			if denied {
				c.Denied++
			}
		}
	}
	ladder, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		return c, err
	}
	step, err := ladder.Step(stepID)
	if err != nil {
		return c, err
	}
	if step.Counts(scoring.AttemptOf(r)) == scoring.Clear {
		c.Counted = 1
		if !d.Earned(step, threshold) {
			c.CountedBad = 1
		}
	}
	return c, nil
}

// Print writes the counts as a table.
func Print(w io.Writer, all []Count) {
	fmt.Fprintf(w, "%-28s  %6s  %7s  %13s  %7s  %14s  %7s\n", "broken by", "drawn", "refused", "sure findings", "denied", "count for step", "denied")
	for _, c := range all {
		name := c.Broken
		if name == "" {
			name = "nothing"
		}
		fmt.Fprintf(w, "%-28s  %6d  %7d  %13d  %7s  %14d  %7s\n", name, c.Drawn, c.Refused, c.Sure, share(c.Denied, c.Sure), c.Counted, share(c.CountedBad, c.Counted))
	}
}

func share(n, of int) string {
	if of == 0 {
		return "–"
	}
	return fmt.Sprintf("%.1f %%", 100*float64(n)/float64(of))
}

// What is stated: of sure findings one in twenty may be wrong, of trials that a rule of the ladder
// lets through one in five.
const (
	sureWrong    = 0.05
	countedWrong = 0.2
)

// Beyond reports whether the truth denies more than is stated.
func (c Count) Beyond() bool {
	return beyond(c.Denied, c.Sure, sureWrong) || beyond(c.CountedBad, c.Counted, countedWrong)
}

// beyond reports whether n of so many is more than a rate allows, by three standard deviations
// of that count.
func beyond(n, of int, rate float64) bool {
	return float64(n) > rate*float64(of)+3*math.Sqrt(rate*(1-rate)*float64(of))
}
