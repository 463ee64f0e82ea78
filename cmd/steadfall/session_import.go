package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/beside"
	"steadfall/internal/intake"
	"steadfall/internal/pipeline"
	"steadfall/internal/quantity"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// importOptions are what an import is asked for.
type importOptions struct {
	session             archive.Session
	usual               pipeline.Request
	task, limb, picture string
	patterns            []string
	noClips, move       bool
}

func newSessionImport() *cobra.Command {
	var o importOptions
	cmd := &cobra.Command{
		Use: "import FOLDER [--date DATE] [--pattern P]", Short: "score a folder of clips or tracks and keep them as a session", Args: oneArg("folder"),
		Long: `Score every clip or track (.csv) of a folder and keep the results as a session. File
names say whose trial it is, by a pattern of the fields {athlete}, {task}, {limb},
{trial}, {view} (front or side) and {any}; a front and a side view of one trial belong
together. What a pattern leaves out is taken from the flags. Files that are there already
are skipped, by their content, so an interrupted import goes on where it stopped. Files that
are there under another athlete, task, leg or date are named; --move files them under this
one, measured again with that athlete's height. The session is made with its first trial.
Imports into one archive take turns.`,
		Example: `  steadfall session import clips --date 2026-09-01
  (files such as Ash_drop-landing_left_1_front.mp4 or Ash_squat-jump_2_side.mov)
  steadfall session import clips --pattern "{athlete} {trial} {view}" --task squat-jump`,
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args[0]) },
	}
	o.flags(cmd)
	return cmd
}

func (o *importOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	sessionFlags(cmd, &o.session)
	f.StringArrayVar(&o.patterns, "pattern", intake.Patterns, "`PATTERN` of the file names, without their ending; may be given several times")
	f.StringVar(&o.task, "task", string(kinematics.DropLanding), "`TASK` where names do not say: "+taskNames())
	f.StringVar(&o.limb, "limb", string(kinematics.Both), "`LEG` landed on where names do not say: both, left or right")
	f.StringVar(&o.usual.Checklist, "checklist", "", "bundled `NAME` or a .yaml file (default: by the feet that landed)")
	numberFlag(f, &o.usual.BoxCM, "box-cm", 5, 150, "height of the box dropped from, `CM`")
	numberFlag(f, &o.usual.CaptureFPS, "capture-fps", 20, 2000, "frames a second that slow-motion clips were filmed at (`N`)")
	f.BoolVar(&o.move, "move", false, "file what is there under another athlete, task, leg or date under this one")
	f.BoolVar(&o.noClips, "no-clips", false, "keep tracks and pictures only, no copies of the clips")
	squareFlag(f, &o.usual.SquareDeg)
	pictureFlag(f, &o.picture)
	pointFlags(f, &o.usual.Points)
}

func (o *importOptions) run(cmd *cobra.Command, folder string) error {
	if err := o.parse(cmd); err != nil {
		return err
	}
	if err := o.usual.Check(); err != nil {
		return err
	}
	if err := beside.ReadClips(); err != nil {
		return err
	}
	patterns, err := o.readPatterns(cmd)
	if err != nil {
		return err
	}
	o.usual.Tool, o.usual.Tell = "steadfall "+version, teller(cmd)
	return with(cmd, func(a *archive.Archive) error {
		im := intake.Import{
			Archive: a, Session: o.session, Folder: folder, Patterns: patterns, Usual: o.usual,
			KeepClips: !o.noClips, Move: o.move, Tell: o.usual.Tell, Pipeline: runner(cmd),
			Wait: func() { fmt.Fprintln(cmd.ErrOrStderr(), "waiting for another import into this archive to end") },
			Kept: func(t archive.Trial, sc scoring.Score) {
				fmt.Fprintf(cmd.OutOrStdout(), "kept %s: %d sure errors of %d, expected %.1f\n", t.ShortName(), sc.Errors, sc.Most, sc.Expected)
			},
		}
		done, err := im.Run(cmd.Context())
		return importSaid(cmd, done, err)
	})
}

// parse puts what the flags say in words into the request.
func (o *importOptions) parse(cmd *cobra.Command) error {
	var err error
	if o.usual.Task, err = kinematics.ParseTask(o.task); err != nil {
		return wrong(cmd, "%v", err)
	}
	if o.usual.Limb, err = parseLimb(o.limb); err != nil {
		return wrong(cmd, "%v", err)
	}
	if err := checkPoints(cmd, o.usual.Points); err != nil {
		return err
	}
	if o.usual.Picture, err = quantity.Picture(o.picture); err != nil {
		return wrong(cmd, "%v", err)
	}
	if err := archive.CheckDate(o.session.Date); err != nil {
		return wrong(cmd, "--date: %v", err)
	}
	return nil
}

func (o *importOptions) readPatterns(cmd *cobra.Command) (out []intake.Pattern, err error) {
	for _, text := range o.patterns {
		p, err := intake.ParsePattern(text)
		if err != nil {
			return nil, wrong(cmd, "%v", err)
		}
		out = append(out, p)
	}
	return out, nil
}

// importSaid says what became of an import.
func importSaid(cmd *cobra.Command, done intake.Done, err error) error {
	out := cmd.OutOrStdout()
	for _, f := range done.Other {
		fmt.Fprintf(out, "left out %s: its name does not fit the pattern\n", f)
	}
	for _, m := range done.Moved {
		fmt.Fprintf(out, "moved %s\n", m)
	}
	for _, f := range done.Failed {
		fmt.Fprintf(out, "not kept: %s\n", f)
	}
	if done.Kept+done.Already > 0 {
		fmt.Fprintf(out, "%d kept, %d were there already\n", done.Kept, done.Already)
	}
	switch {
	case errors.Is(err, context.Canceled):
		return fmt.Errorf("interrupted; %d trials were kept, and the same import goes on from there", done.Kept)
	case err != nil:
		return err
	case len(done.Failed) > 0:
		return fmt.Errorf("%d trials could not be kept, see above why; the others are kept", len(done.Failed))
	}
	return nil
}
