package main

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"steadfall/internal/notes"
	"steadfall/kinematics"
)

// talkFlags are the flags for how much is said beside results, warnings and errors, which are
// always said.
func talkFlags(root *cobra.Command) {
	f := root.PersistentFlags()
	f.Bool("quiet", false, "say nothing but results, warnings and errors")
	f.Bool("verbose", false, "say also what is used and how long each step takes")
	root.PersistentPreRunE = func(cmd *cobra.Command, _ []string) error {
		if told(cmd, "quiet") && told(cmd, "verbose") {
			return wrong(cmd, "--quiet and --verbose cannot both be meant; leave one out")
		}
		return nil
	}
}

// told reports whether one of the talkFlags was given.
func told(cmd *cobra.Command, flag string) bool {
	on, err := cmd.Root().PersistentFlags().GetBool(flag)
	return err == nil && on
}

// aside is where a command says how far it is and what it wrote.
func aside(cmd *cobra.Command) io.Writer {
	if told(cmd, "quiet") {
		return io.Discard
	}
	return cmd.ErrOrStderr()
}

// wrote names a file that was written.
func wrote(cmd *cobra.Command, name string) {
	fmt.Fprintf(aside(cmd), "wrote %s\n", name)
}

// warn says what is to be known of a result.
func warn(cmd *cobra.Command, all []kinematics.Note) {
	for _, n := range all {
		fmt.Fprintf(cmd.ErrOrStderr(), "steadfall: warning: %s\n", notes.English(n, notes.CommandLine))
	}
}

// note says what is used, to who wants to know.
func note(cmd *cobra.Command, format string, a ...any) {
	if told(cmd, "verbose") {
		fmt.Fprintf(cmd.ErrOrStderr(), "steadfall: note: "+format+"\n", a...)
	}
}

// timed notes how long each stage took.
func timed(cmd *cobra.Command, tell func(stage string, done, total int)) func(stage string, done, total int) {
	if !told(cmd, "verbose") {
		return tell
	}
	now, since := "", time.Now()
	end := func() {
		if now != "" {
			note(cmd, "%s took %.1f s", now, time.Since(since).Seconds())
		}
		now, since = "", time.Now()
	}
	return func(stage string, done, total int) {
		if stage != now {
			end()
		}
		now = stage
		tell(stage, done, total)
		if total > 0 && done >= total {
			end()
		}
	}
}
