// Command bench prints how accurate and how fast the tool is on clips whose exact
// truth is known. Its figures go into commit messages and the README.
//
//	go run ./internal/bench [-seeds N] [-show SEED] [-clip NAME] [-v]
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
)

func main() {
	seeds := flag.Int("seeds", 8, "how many seeded sets of `placements` to try on each clip")
	only := flag.String("clip", "", "only the clip of that `name`")
	show := flag.Int("show", 6, "which seed to print row by row; 0 for all")
	verbose := flag.Bool("v", false, "print every measure")
	flag.Parse()
	if err := handPlaced(context.Background(), os.Stdout, *seeds, *show, *only, *verbose); err != nil {
		fmt.Fprintln(os.Stderr, "bench: error:", err)
		os.Exit(1)
	}
}
