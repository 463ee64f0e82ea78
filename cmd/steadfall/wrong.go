package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// usageError is a wrong call, as against work that could not be done.
type usageError struct {
	err     error
	command string // "score " or ""
}

func (e *usageError) Error() string { return e.err.Error() }

// mostTypos is how many letters may differ for a command to be meant all the same.
const mostTypos = 2

// wrong is a usage error of a command.
func wrong(cmd *cobra.Command, format string, a ...any) error {
	return &usageError{fmt.Errorf(format, a...), callOf(cmd)}
}

// noArgs takes no bare words. Where a command is expected it names the one that may be meant.
func noArgs(cmd *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return nil
	case cmd.HasAvailableSubCommands():
		return noCommand(cmd, args[0])
	}
	return wrong(cmd, "%q is one word too many: what it means is said by a flag before it", args[0])
}

// noCommand says that a command has no such subcommand, and which may be meant.
func noCommand(cmd *cobra.Command, word string) error {
	cmd.SuggestionsMinimumDistance = mostTypos
	if near := cmd.SuggestionsFor(word); len(near) > 0 {
		return wrong(cmd, "there is no command %q; did you mean %s?", callOf(cmd)+word, orList(near))
	}
	return wrong(cmd, "there is no command %q", callOf(cmd)+word)
}

// viewArgs takes no bare words where each file is of a view, and says so for a file.
func viewArgs(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	what := map[string]string{".csv": "-track", ".json": "-placements"}[strings.ToLower(filepath.Ext(args[0]))]
	if what == "" && !slices.Contains(clipEndings, strings.ToLower(filepath.Ext(args[0]))) {
		return noArgs(cmd, args)
	}
	return wrong(cmd, "say from where %q was filmed: steadfall %s--front%s %s, or --side%s", args[0], callOf(cmd), what, args[0], what)
}

// clipEndings are the endings of clips, for completion and for what is said; the first bytes
// of a file decide what it is.
var clipEndings = []string{".mp4", ".mov", ".m4v", ".mkv", ".webm"}

// oneArg takes exactly one argument, called what.
func oneArg(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != 1 {
			return wrong(cmd, "name one %s, not %d", what, len(args))
		}
		return nil
	}
}

// newHelp is the help command; of a command that is not there it says so.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use: "help [COMMAND]", Short: "say more about a command",
		RunE: func(cmd *cobra.Command, args []string) error {
			about, rest, err := cmd.Root().Find(args)
			switch {
			case err != nil:
				return wrong(cmd.Root(), "%v", err)
			case len(rest) > 0 && about.HasAvailableSubCommands():
				return noCommand(about, rest[0])
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
		ValidArgsFunction: func(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			about, _, err := cmd.Root().Find(args)
			if err != nil {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			var names []string
			for _, c := range about.Commands() {
				if c.IsAvailableCommand() {
					names = append(names, c.Name()+"\t"+c.Short)
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
	}
}

// callOf is how a command is called after the name of the program, "" or "archive check ".
func callOf(cmd *cobra.Command) string {
	if !cmd.HasParent() {
		return ""
	}
	return callOf(cmd.Parent()) + cmd.Name() + " "
}

// orList joins words as "a, b or c".
func orList(words []string) string {
	out := ""
	for i, w := range words {
		switch {
		case i == 0:
			out = w
		case i == len(words)-1:
			out += " or " + w
		default:
			out += ", " + w
		}
	}
	return out
}
