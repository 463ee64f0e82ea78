package main

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/present"
	"steadfall/report/locale"
)

func newSession() *cobra.Command {
	cmd := group("session", "days of testing: import, list, show, pain and absence",
		newSessionImport(), newSessionList(), newSessionShow(), newSessionReport(), newSessionRemove(), newSessionPain(), newSessionPainOver(), newSessionAbsent())
	archiveFlag(cmd)
	return cmd
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
				return printSessions(cmd.OutOrStdout(), all)
			})
		},
	}
}

func printSessions(w io.Writer, all []archive.SessionCount) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "date\ttitle\tathletes\ttrials")
	for _, s := range all {
		fmt.Fprintf(t, "%s\t%s\t%d\t%d\n", s.Date, s.Title, s.Athletes, s.Trials)
	}
	return t.Flush()
}

func newSessionShow() *cobra.Command {
	var s archive.Session
	cmd := &cobra.Command{
		Use: "show [--date DATE]", Short: "list the trials of a session with every result", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return with(cmd, func(a *archive.Archive) error { return showSession(cmd, a, s) })
		},
	}
	sessionFlags(cmd, &s)
	return cmd
}

func showSession(cmd *cobra.Command, a *archive.Archive, s archive.Session) error {
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
		RunE: func(cmd *cobra.Command, args []string) error { return notePainOver(cmd, args[0], o) },
	}
	cmd.Flags().StringVar(&o.By, "by", "", "`WHO` says so")
	cmd.Flags().StringVar(&o.Date, "date", today(), "`DATE` up to which pain was told, YYYY-MM-DD")
	return cmd
}

func notePainOver(cmd *cobra.Command, code string, o archive.PainOver) error {
	if o.By == "" {
		return wrong(cmd, "say who notes it with --by")
	}
	if err := archive.CheckDate(o.Date); err != nil {
		return wrong(cmd, "--date: %v", err)
	}
	return with(cmd, func(a *archive.Archive) error {
		if err := a.NotePainOver(cmd.Context(), code, o); err != nil {
			return err
		}
		fmt.Fprintln(cmd.OutOrStdout(), "noted")
		return nil
	})
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

// attend keeps what was said of an athlete at a session.
func attend(cmd *cobra.Command, s archive.Session, fresh bool, code string, at archive.Attendance) error {
	if err := archive.CheckDate(s.Date); err != nil {
		return wrong(cmd, "--date: %v", err)
	}
	return with(cmd, func(a *archive.Archive) error {
		if _, err := a.Athlete(cmd.Context(), code); err != nil {
			return err
		}
		found, err := sessionToAttend(cmd, a, s, fresh)
		if err != nil {
			return err
		}
		if err := a.Attend(cmd.Context(), found, code, at); err != nil {
			return err
		}
		fmt.Fprintln(cmd.OutOrStdout(), "recorded")
		return nil
	})
}

// sessionToAttend is the session on the date, or a new one where that is meant.
func sessionToAttend(cmd *cobra.Command, a *archive.Archive, s archive.Session, fresh bool) (archive.Session, error) {
	found, err := a.SessionOn(cmd.Context(), s.Date, s.Title)
	switch {
	case errors.Is(err, archive.ErrNoSession) && fresh:
		return s, nil
	case errors.Is(err, archive.ErrNoSession):
		return found, fmt.Errorf("%w, or make one with --new", err)
	}
	return found, err
}

// trialPageOptions are the file and the language of a report.
type trialPageOptions struct {
	html   string
	locale locale.Locale
}

func newSessionReport() *cobra.Command {
	var o trialPageOptions
	cmd := &cobra.Command{
		Use: "report NUMBER -o REPORT.html", Short: "write the report of a kept trial, by its number in session show", Args: oneArg("trial number"),
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args[0]) },
	}
	cmd.Flags().StringVarP(&o.html, "out", "o", "", "write the report (`REPORT.html`)")
	localeFlags(cmd, &o.locale)
	return cmd
}

func (o trialPageOptions) run(cmd *cobra.Command, number string) error {
	id, err := trialNumber(cmd, number)
	if err != nil {
		return err
	}
	if o.html == "" {
		return wrong(cmd, "name the report with -o REPORT.html")
	}
	if err := checkOut(cmd, "-o", o.html, pageOrDash); err != nil {
		return err
	}
	return with(cmd, func(a *archive.Archive) error {
		page, err := present.Trial(cmd.Context(), a, id)
		if err != nil {
			return err
		}
		page.Locale = o.locale
		return writeReport(cmd, o.html, page)
	})
}
