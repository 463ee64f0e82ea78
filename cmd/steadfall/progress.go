package main

import (
	"fmt"
	"io"
	"os"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
	"golang.org/x/term"
)

// teller shows progress: a bar on a terminal, a line for each quarter when piped or when
// notes come between, nothing for --quiet.
func teller(cmd *cobra.Command) func(stage string, done, total int) {
	w := aside(cmd)
	f, ok := w.(*os.File)
	if !ok || told(cmd, "verbose") || !term.IsTerminal(int(f.Fd())) {
		return timed(cmd, lines(w))
	}
	var bar *progressbar.ProgressBar
	stageNow := ""
	return func(stage string, done, total int) {
		if stage != stageNow {
			if bar != nil {
				_ = bar.Finish()
				fmt.Fprintln(w)
			}
			stageNow = stage
			bar = progressbar.NewOptions(total, progressbar.OptionSetWriter(w), progressbar.OptionSetDescription(stage), progressbar.OptionShowCount())
		}
		_ = bar.Set(done)
		if done == total && total > 0 {
			fmt.Fprintln(w)
		}
	}
}

func lines(w io.Writer) func(stage string, done, total int) {
	stageNow, quarter := "", -1
	return func(stage string, done, total int) {
		if stage != stageNow {
			stageNow, quarter = stage, -1
			if total == 0 {
				fmt.Fprintln(w, stage)
			}
		}
		if total > 0 && 4*done/total > quarter {
			quarter = 4 * done / total
			fmt.Fprintf(w, "%s: %d %%\n", stage, 25*min(quarter, 4))
		}
	}
}

// staged is progress of one stage.
func staged(cmd *cobra.Command, stage string) func(done, total int) {
	tell := teller(cmd)
	return func(done, total int) { tell(stage, done, total) }
}
