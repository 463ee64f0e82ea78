package main

import (
	"cmp"
	"fmt"
	"io"
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
		RunE: func(cmd *cobra.Command, _ []string) error { return listLadders(cmd.OutOrStdout()) },
	}
}

func listLadders(w io.Writer) error {
	for _, n := range scoring.LadderNames() {
		l, err := loadLadder(n)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "%s  %d steps  %s\n", n, len(l.Steps), l.Title)
	}
	return nil
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

// decideOptions are what a decision is made of.
type decideOptions struct {
	ladder, step, by, reason string
}

func newLadderDecide() *cobra.Command {
	var o decideOptions
	cmd := &cobra.Command{
		Use: "decide CODE --step STEP --by WHO --reason WHY", Short: "record which step an athlete works on from now", Args: oneArg("athlete"),
		Long: `Record which step of the ladder an athlete works on from now. The rules say ready, not
yet or cannot say; a person decides, and the decision is kept with its reason and with
what the rules said. The step "next" is the one after the present step; "done" says that
all are done.`,
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args[0]) },
	}
	ladderFlag(cmd, &o.ladder)
	cmd.Flags().StringVar(&o.step, "step", "", "`STEP` to work on: its id, next, or done")
	cmd.Flags().StringVar(&o.by, "by", "", "`WHO` decides")
	cmd.Flags().StringVar(&o.reason, "reason", "", "`WHY`")
	return cmd
}

func (o decideOptions) run(cmd *cobra.Command, code string) error {
	if o.step == "" || o.by == "" || o.reason == "" {
		return wrong(cmd, "say the step, who decides, and why: --step, --by and --reason")
	}
	l, err := loadLadder(o.ladder)
	if err != nil {
		return err
	}
	return with(cmd, func(a *archive.Archive) error {
		at, err := standing.One(cmd.Context(), a, l, code)
		if err != nil {
			return err
		}
		d, err := o.decision(l, at.Standing)
		if err != nil {
			return err
		}
		if err := a.Decide(cmd.Context(), at.Athlete.Code, d); err != nil {
			return err
		}
		to := cmp.Or(d.Step, "nothing more: all steps are done")
		fmt.Fprintf(cmd.OutOrStdout(), "%s works on %s (the rules said %s)\n", at.Athlete.Code, to, verdictWords(at.Standing))
		return nil
	})
}

// decision is what is kept of the decision: the step, and what the rules said.
func (o decideOptions) decision(l scoring.Ladder, now scoring.Standing) (archive.Decision, error) {
	to, err := stepTo(l, now.Step, o.step)
	told := verdictWords(now) + ": " + now.Because.String()
	return archive.Decision{Step: to, Told: told, Reason: o.reason, By: o.by}, err
}

// verdictWords are what the rules say, in words.
func verdictWords(s scoring.Standing) string { return strings.ReplaceAll(string(s.Verdict), "_", " ") }

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
