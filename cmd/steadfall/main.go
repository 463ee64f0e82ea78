// Command steadfall judges how well an athlete lands, from phone video.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"github.com/spf13/cobra"
)

func main() {
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

// run runs the command line and returns the exit status: 0 done, 1 the work could
// not be done, 2 wrong usage.
func run(args []string, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	root := newRoot()
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	began := time.Now()
	err := root.ExecuteContext(ctx)
	note(root, "done after %.1f s", time.Since(began).Seconds())
	var usage *usageError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &usage):
		fmt.Fprintf(stderr, "steadfall: error: %v\nsteadfall: hint: see steadfall %s--help\n", err, usage.command)
		return 2
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(stderr, "steadfall: error: interrupted; no file was left half-written")
		return 1
	}
	fmt.Fprintf(stderr, "steadfall: error: %v\n", err)
	return 1
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "steadfall",
		Short: "judge how well an athlete lands, from phone video",
		Long: `steadfall judges how well an athlete lands, from phone video.

It measures one landing filmed from the front, the side, or both, scores it
against a checklist, and says how sure each number is.

Screening is not diagnosis. Stop on pain. Film minors only with consent.
Licensed clinicians and local rules come first.`,
		Example: `  steadfall score --front front.mp4 --front-placements front.json \
                  --athlete-height-cm 172 -o report.html
  steadfall inspect front.mp4`,
		Version:       version,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          noArgs,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetHelpCommand(newHelp())
	talkFlags(root)
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error { return &usageError{flagWords(err), callOf(cmd)} })
	root.AddCommand(newInspect(), newTrack(), newScore(), newTrials(), newCompare(), newAgreement(), newChecklist(),
		newArchive(), newAthlete(), newSession(), newLadder(), newSquad(), newRaters(), newServe(), newWorker(), newModels(), newDemo())
	offer(root)
	return root
}
