package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/standing"
	"steadfall/scoring"
)

func newLadder() *cobra.Command {
	cmd := group("ladder", "the steps from landing to jumping: list, show, validate, decide", newLadderList(), newLadderShow(), newLadderValidate(), newLadderDecide())
	archiveFlag(cmd)
	return cmd
}

func newLadderList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "list the bundled ladders", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			for _, n := range scoring.LadderNames() {
				l, err := loadLadder(n)
				if err != nil {
					return err
				}
				fmt.Fprintf(cmd.OutOrStdout(), "%s  %d steps  %s\n", n, len(l.Steps), l.Title)
			}
			return nil
		},
	}
}

func newLadderShow() *cobra.Command {
	return &cobra.Command{
		Use: "show NAME", Short: "print a bundled ladder, to read or to start your own from", Args: oneArg("ladder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			data, err := scoring.BundledLadder(args[0])
			if err != nil {
				return err
			}
			_, err = cmd.OutOrStdout().Write(data)
			return err
		},
	}
}

func newLadderValidate() *cobra.Command {
	return &cobra.Command{
		Use: "validate FILE.yaml", Short: "check a ladder of your own", Args: oneArg("file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			l, err := loadLadder(args[0])
			if err != nil {
				return err
			}
			fmt.Fprintf(cmd.OutOrStdout(), "%s: good, %d steps\n", args[0], len(l.Steps))
			return nil
		},
	}
}

func newLadderDecide() *cobra.Command {
	var ladder, step, by, reason string
	cmd := &cobra.Command{
		Use: "decide CODE --step STEP --by WHO --reason WHY", Short: "record which step an athlete works on from now", Args: oneArg("athlete"),
		Long: `Record which step of the ladder an athlete works on from now. The rules say ready, not
yet or cannot say; a person decides, and the decision is kept with its reason and with
what the rules said. The step "next" is the one after the present step; "done" says that
all are done.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if step == "" || by == "" || reason == "" {
				return wrong(cmd, "say the step, who decides, and why: --step, --by and --reason")
			}
			l, err := loadLadder(ladder)
			if err != nil {
				return err
			}
			return with(cmd, func(a *archive.Archive) error {
				p, err := standing.One(cmd.Context(), a, l, args[0])
				if err != nil {
					return err
				}
				to, err := stepTo(l, p.Standing.Step, step)
				if err != nil {
					return err
				}
				d := archive.Decision{Step: to, Told: strings.ReplaceAll(string(p.Standing.Verdict), "_", " ") + ": " + p.Standing.Because.String(), Reason: reason, By: by}
				if err := a.Decide(cmd.Context(), p.Athlete.Code, d); err != nil {
					return err
				}
				word := to
				if to == "" {
					word = "nothing more: all steps are done"
				}
				fmt.Fprintf(cmd.OutOrStdout(), "%s works on %s (the rules said %s)\n", p.Athlete.Code, word, strings.ReplaceAll(string(p.Standing.Verdict), "_", " "))
				return nil
			})
		},
	}
	ladderFlag(cmd, &ladder)
	cmd.Flags().StringVar(&step, "step", "", "`STEP` to work on: its id, next, or done")
	cmd.Flags().StringVar(&by, "by", "", "`WHO` decides")
	cmd.Flags().StringVar(&reason, "reason", "", "`WHY`")
	return cmd
}

// stepTo is the step that the words mean, "" for none left.
func stepTo(l scoring.Ladder, now, words string) (string, error) {
	switch words {
	case standing.Done:
		return "", nil
	case "next":
		if now == standing.Done {
			return "", fmt.Errorf("all steps are done, so there is no next one")
		}
		return l.After(now), nil
	}
	if i := slices.IndexFunc(l.Steps, func(s scoring.Step) bool { return s.ID == words }); i >= 0 {
		return words, nil
	}
	_, err := l.Step(words)
	return "", err
}
