package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/roster"
)

func newAthleteImport() *cobra.Command {
	var dry bool
	cmd := &cobra.Command{
		Use: "import ROSTER.csv [--dry-run]", Short: "add or change many athletes from a table", Args: oneArg("table"),
		Long: `Add or change many athletes from a table as spreadsheets write it, all or none: columns
parted by commas, semicolons or tabs, in UTF-8 or UTF-16. The first line names the columns:
code, and any of name, sex, birth_year, leg, height_cm, mass_kg, notes, consent_by,
consent_on. Columns that are not there and empty cells change nothing. Every change is
printed; with --dry-run that is all.`,
		Example: "  code,sex,birth_year,height_cm,consent_by,consent_on\n  Ash,female,2008,172,R. Reed (guardian),2026-08-01",
		RunE: func(cmd *cobra.Command, args []string) error {
			rows, err := roster.Read(args[0])
			if err != nil {
				return fmt.Errorf("%q: %w", args[0], err)
			}
			return with(cmd, func(a *archive.Archive) error { return importRoster(cmd, a, rows, dry) })
		},
	}
	cmd.Flags().BoolVar(&dry, "dry-run", false, "print what would change, and change nothing")
	return cmd
}

// importRoster says what a roster changes, and does it unless it is a dry run.
func importRoster(cmd *cobra.Command, a *archive.Archive, rows []roster.Row, dry bool) error {
	known, err := a.Athletes(cmd.Context())
	if err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	var c rosterChanges
	for _, r := range rows {
		if err := c.take(out, known, r); err != nil {
			return err
		}
	}
	same := len(rows) - c.added - c.changed
	if dry {
		fmt.Fprintf(out, "%d would be added, %d changed, %d are so already; nothing was changed\n", c.added, c.changed, same)
		return nil
	}
	if _, err := a.Put(cmd.Context(), c.athletes...); err != nil {
		return err
	}
	fmt.Fprintf(out, "%d added, %d changed, %d were so already\n", c.added, c.changed, same)
	return nil
}

// rosterChanges are the athletes that a roster adds or changes, and how many of each.
type rosterChanges struct {
	athletes       []archive.Athlete
	added, changed int
}

// take says what a row changes, and gathers it.
func (c *rosterChanges) take(out io.Writer, known []archive.Athlete, r roster.Row) error {
	was, there := find(known, r.Code)
	now, err := r.On(was)
	if err != nil {
		return err
	}
	if r.Consent && was.Consent != nil && !was.Consent.Given && now.Consent == was.Consent {
		fmt.Fprintf(out, "%s: the consent stays %s, for the table's is no newer\n", was.Code, consentWords(was))
	}
	what := differences(was, now)
	switch {
	case !there:
		c.added++
		fmt.Fprintf(out, "%s: new; %s\n", now.Code, what)
	case what == "":
		return nil
	default:
		c.changed++
		fmt.Fprintf(out, "%s: %s\n", now.Code, what)
	}
	c.athletes = append(c.athletes, now)
	return nil
}

// differences are what changes between two states of an athlete, or nothing.
func differences(was, now archive.Athlete) string {
	var out []string
	for _, d := range []struct{ what, was, now string }{
		{"name", was.Name, now.Name},
		{"sex", was.Sex, now.Sex},
		{"birth_year", orDash(was.BirthYear != 0, "%d", was.BirthYear), orDash(now.BirthYear != 0, "%d", now.BirthYear)},
		{"leg", string(was.Leg), string(now.Leg)},
		{"height_cm", orDash(was.HeightCM != 0, "%g", was.HeightCM), orDash(now.HeightCM != 0, "%g", now.HeightCM)},
		{"mass_kg", orDash(was.MassKG != 0, "%g", was.MassKG), orDash(now.MassKG != 0, "%g", now.MassKG)},
		{"notes", was.Notes, now.Notes},
		{"consent", consentWords(was), consentWords(now)},
	} {
		if d.was != d.now {
			out = append(out, fmt.Sprintf("%s %s → %s", d.what, orDash(d.was != "", "%s", d.was), d.now))
		}
	}
	return strings.Join(out, "; ")
}
