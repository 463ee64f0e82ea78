package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/beside"
	"steadfall/internal/intake"
	"steadfall/internal/pipeline"
	"steadfall/internal/present"
	"steadfall/internal/quantity"
	"steadfall/kinematics"
	"steadfall/report/landing"
	"steadfall/report/locale"
	"steadfall/scoring"
)

func newSession() *cobra.Command {
	cmd := group("session", "days of testing: import, list, show, pain and absence",
		newSessionImport(), newSessionList(), newSessionShow(), newSessionReport(), newSessionRemove(), newSessionPain(), newSessionPainOver(), newSessionAbsent())
	archiveFlag(cmd)
	return cmd
}

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

func newSessionList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "list the sessions", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return with(cmd, func(a *archive.Archive) error {
				all, err := a.Sessions(cmd.Context())
				if err != nil {
					return err
				}
				t := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 8, 2, ' ', 0)
				fmt.Fprintln(t, "date\ttitle\tathletes\ttrials")
				for _, s := range all {
					fmt.Fprintf(t, "%s\t%s\t%d\t%d\n", s.Date, s.Title, s.Athletes, s.Trials)
				}
				return t.Flush()
			})
		},
	}
}

func newSessionShow() *cobra.Command {
	var s archive.Session
	cmd := &cobra.Command{
		Use: "show [--date DATE]", Short: "list the trials of a session with every result", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return with(cmd, func(a *archive.Archive) error {
				found, err := a.SessionOn(cmd.Context(), s.Date, s.Title)
				if err != nil {
					return err
				}
				all, err := a.Records(cmd.Context(), "", found.ID, true, nil)
				if err != nil {
					return err
				}
				t := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 8, 2, ' ', 0)
				fmt.Fprintln(t, "number\ttrial\tchecklist\tsure errors\texpected\tby")
				for _, r := range all {
					sc := r.Result.Score
					fmt.Fprintf(t, "%d\t%s\t%s\t%d of %d\t%.1f (%d to %d)\t%s\n", r.Trial.ID, r.ShortName(), sc.Checklist, sc.Errors, sc.Most, sc.Expected, sc.Low, sc.High, r.Tool)
				}
				return t.Flush()
			})
		},
	}
	sessionFlags(cmd, &s)
	return cmd
}

func newSessionRemove() *cobra.Command {
	var s archive.Session
	var yes bool
	cmd := &cobra.Command{
		Use: "remove NUMBER --yes, or remove --date DATE --yes", Short: "take one trial, by its number in session show, or a whole session out for good",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || (len(args) == 1) == cmd.Flags().Changed("date") {
				return wrong(cmd, "name one trial by its number, or a whole session with --date")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return with(cmd, func(a *archive.Archive) error {
				if len(args) == 1 {
					return removeTrial(cmd, a, args[0], yes)
				}
				return removeSession(cmd, a, s, yes)
			})
		},
	}
	sessionFlags(cmd, &s)
	cmd.Flags().BoolVar(&yes, "yes", false, "remove without asking back")
	return cmd
}

func removeTrial(cmd *cobra.Command, a *archive.Archive, number string, yes bool) error {
	id, err := trialNumber(cmd, number)
	if err != nil {
		return err
	}
	t, err := a.Trial(cmd.Context(), id)
	if err != nil {
		return err
	}
	if !yes {
		return wrong(cmd, "removing %s cannot be undone; say --yes to do it", t.Name())
	}
	n, err := a.DeleteTrial(cmd.Context(), id)
	if err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "removed %s, with %d clips and pictures\n", t.Name(), n)
	return nil
}

func removeSession(cmd *cobra.Command, a *archive.Archive, s archive.Session, yes bool) error {
	s, err := a.SessionOn(cmd.Context(), s.Date, s.Title)
	if err != nil {
		return err
	}
	trials, err := a.Trials(cmd.Context(), "", s.ID)
	if err != nil {
		return err
	}
	if !yes {
		return wrong(cmd, "removing the session of %s with its %d trials, and the pain and absences told, cannot be undone; say --yes to do it", s.Date, len(trials))
	}
	n, files, err := a.DeleteSession(cmd.Context(), s.ID)
	if err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "removed the session of %s: %d trials, %d clips and pictures\n", s.Date, n, files)
	return nil
}

func newSessionPain() *cobra.Command {
	var s archive.Session
	var fresh bool
	cmd := &cobra.Command{
		Use: "pain CODE 0..10 [--date DATE]", Short: "record what an athlete said when asked about pain, 0 for none",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 2 {
				return wrong(cmd, "name the athlete and the pain, 0 (none) to 10")
			}
			return nil
		},
		Long: "Record what an athlete said when asked about pain at a session, 0 (none) to 10. Stop on pain, giving way or swelling, and send the athlete to a clinician.",
		RunE: func(cmd *cobra.Command, args []string) error {
			pain, err := strconv.Atoi(args[1])
			if err != nil {
				return wrong(cmd, "pain is a whole number from 0 (none) to 10, not %q", args[1])
			}
			return attend(cmd, s, fresh, args[0], archive.Attendance{Pain: &pain})
		},
	}
	sessionFlags(cmd, &s)
	freshFlag(cmd, &fresh)
	return cmd
}

func newSessionPainOver() *cobra.Command {
	var o archive.PainOver
	cmd := &cobra.Command{
		Use: "pain-over CODE --by WHO [--date DATE]", Short: "note that the pain an athlete told of is over",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return wrong(cmd, "name one athlete")
			}
			return nil
		},
		Long: `Note that the pain an athlete told of, at sessions up to a date, is over. Until somebody does,
more than a little pain at any session keeps the athlete from the next step and sends them to the
physio. Licensed clinicians and local rules come first.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case o.By == "":
				return wrong(cmd, "say who notes it with --by")
			case archive.CheckDate(o.Date) != nil:
				return wrong(cmd, "--date: %v", archive.CheckDate(o.Date))
			}
			return with(cmd, func(a *archive.Archive) error {
				if err := a.NotePainOver(cmd.Context(), args[0], o); err != nil {
					return err
				}
				fmt.Fprintln(cmd.OutOrStdout(), "noted")
				return nil
			})
		},
	}
	cmd.Flags().StringVar(&o.By, "by", "", "`WHO` says so")
	cmd.Flags().StringVar(&o.Date, "date", time.Now().Format(time.DateOnly), "`DATE` up to which pain was told, YYYY-MM-DD")
	return cmd
}

func newSessionAbsent() *cobra.Command {
	var s archive.Session
	var why string
	var fresh bool
	cmd := &cobra.Command{
		Use: "absent CODE --why REASON [--date DATE]", Short: "record why an athlete was not there", Args: oneArg("athlete"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if why == "" {
				return wrong(cmd, "say why with --why")
			}
			return attend(cmd, s, fresh, args[0], archive.Attendance{Absent: why})
		},
	}
	cmd.Flags().StringVar(&why, "why", "", "`REASON`")
	sessionFlags(cmd, &s)
	freshFlag(cmd, &fresh)
	return cmd
}

// freshFlag adds the flag without which a date of no session is taken for a mistake.
func freshFlag(cmd *cobra.Command, fresh *bool) {
	cmd.Flags().BoolVar(fresh, "new", false, "make the session where there is none on the date")
}

func attend(cmd *cobra.Command, s archive.Session, fresh bool, code string, at archive.Attendance) error {
	if err := archive.CheckDate(s.Date); err != nil {
		return wrong(cmd, "--date: %v", err)
	}
	return with(cmd, func(a *archive.Archive) error {
		if _, err := a.Athlete(cmd.Context(), code); err != nil {
			return err
		}
		found, err := a.SessionOn(cmd.Context(), s.Date, s.Title)
		switch {
		case errors.Is(err, archive.ErrNoSession) && fresh:
			found = s
		case errors.Is(err, archive.ErrNoSession):
			return fmt.Errorf("%w, or make one with --new", err)
		case err != nil:
			return err
		}
		if err := a.Attend(cmd.Context(), found, code, at); err != nil {
			return err
		}
		fmt.Fprintln(cmd.OutOrStdout(), "recorded")
		return nil
	})
}

func newSessionReport() *cobra.Command {
	var html string
	var loc locale.Locale
	cmd := &cobra.Command{
		Use: "report NUMBER -o REPORT.html", Short: "write the report of a kept trial, by its number in session show", Args: oneArg("trial number"),
		RunE: func(cmd *cobra.Command, args []string) error {
			id, err := trialNumber(cmd, args[0])
			if err != nil {
				return err
			}
			if html == "" {
				return wrong(cmd, "name the report with -o REPORT.html")
			}
			if err := checkOut(cmd, "-o", html, pageOrDash); err != nil {
				return err
			}
			return with(cmd, func(a *archive.Archive) error {
				page, err := present.Trial(cmd.Context(), a, id)
				if err != nil {
					return err
				}
				page.Locale = loc
				return writeOut(cmd, html, func(w io.Writer) error { return landing.Write(w, page) })
			})
		},
	}
	cmd.Flags().StringVarP(&html, "out", "o", "", "write the report (`REPORT.html`)")
	localeFlags(cmd, &loc)
	return cmd
}
