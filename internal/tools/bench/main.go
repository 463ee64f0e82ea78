// Command bench prints how accurate and how fast the tool is on clips whose exact
// truth is known. Its figures go into commit messages and the README.
//
//	go run ./internal/tools/bench [-table auto|corrected|hand|measures|season|desk|calibration|broken|speed] [-clip NAME] [-variant NAME] [-seeds N] [-show SEED] [-v]
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"

	"steadfall/internal/pipeline"
	"steadfall/internal/testkit/desktest"
)

func main() {
	seeds := flag.Int("seeds", 8, "how many seeded sets of `placements` to try on each clip")
	only := flag.String("clip", "", "only the clip of that `name`")
	show := flag.Int("show", 6, "which seed to print row by row; 0 for all")
	verbose := flag.Bool("v", false, "print every measure")
	table := flag.String("table", "", "only these `tables`, joined by commas: auto, corrected, hand, measures, season, desk, calibration, broken or speed")
	placer := flag.String("placer", pipeline.Placers[0], "the `net` that places points: lite, full or heavy")
	variant := flag.String("variant", "", "only that `variant` of the clips, such as dim")
	trials := flag.Int("trials", 600, "how many simulated `landings` to calibrate on")
	sessions := flag.Int("sessions", 12, "how many `sessions` the season has")
	long := flag.Int("long", 600, "how long the long clip of the speed table lasts, `s`")
	draws := flag.Int("draws", 10000, "how many `landings` to break")
	flag.Parse()
	if err := run(context.Background(), *seeds, *show, *only, *verbose, *table, *placer, *variant, *trials, *sessions, *long, *draws); err != nil {
		fmt.Fprintln(os.Stderr, "bench: error:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, seeds, show int, only string, verbose bool, table, placer, variant string, trials, sessions, long, draws int) error {
	nets, err := pipeline.Nets(placer)
	if err != nil {
		return err
	}
	pool := tallies{} // of the measures and the calibration
	for _, t := range []struct {
		name, title string
		print       func() error
	}{
		{"auto", "No point placed by hand.", func() error { return automatic(ctx, os.Stdout, nets, only, variant) }},
		{"corrected", "Points placed automatically and corrected on 4 frames (truth + 2 px noise, seeded).", func() error {
			return handPlaced(ctx, os.Stdout, corrected(nets), seeds, show, only, verbose)
		}},
		{"hand", "Points placed on 4 frames (truth + 2 px noise, seeded) and followed, without a net.", func() error {
			return handPlaced(ctx, os.Stdout, byHand, seeds, show, only, verbose)
		}},
		{"measures", "How often stated intervals hold what the true points give.", func() error { return everyMeasure(ctx, os.Stdout, nets, seeds, only, variant, pool) }},
		{"season", "A squad's season: 40 athletes, 12 sessions, 4 tasks, 3 trials.", func() error { return wholeSeason(ctx, os.Stdout, 40, sessions) }},
		{"desk", "The desk while clips come in.", func() error {
			return desktest.WithProgram(func(program, dir string) error { return deskUnderLoad(ctx, os.Stdout, program, dir, 20) })
		}},
		{"calibration", "How often stated intervals hold the truth.", func() error { return calibration(os.Stdout, trials, pool) }},
		{"broken", "Landings whose tracks are broken: what is said for sure that the truth denies.", func() error { return brokenTracks(ctx, os.Stdout, draws) }},
		{"speed", "What it costs: 1080 × 1920 px, 60 frames a second.", func() error { return speed(ctx, os.Stdout, long) }},
	} {
		if table != "" && !slices.Contains(strings.Split(table, ","), t.name) {
			continue
		}
		fmt.Println(t.title, "Rendered or simulated, not real people.")
		if err := t.print(); err != nil {
			return err
		}
		fmt.Println()
	}
	if len(pool) > 0 {
		fmt.Println("Intervals over the clips and the simulated landings together:")
		pool.print(os.Stdout)
	}
	return nil
}
