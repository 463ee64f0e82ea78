package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"steadfall/internal/testkit/broken"
)

// brokenTracks prints what becomes of landings whose tracks are broken.
func brokenTracks(ctx context.Context, w io.Writer, draws int) error {
	all, err := broken.Counts(ctx, draws, func(n int) {
		if n%500 == 0 {
			fmt.Fprintf(os.Stderr, "%d of %d\n", n, draws)
		}
	})
	if err != nil {
		return err
	}
	broken.Print(w, all)
	for _, c := range all {
		if c.Beyond() {
			fmt.Fprintf(w, "beyond the stated rate: %q\n", c.Broken)
		}
	}
	return nil
}
