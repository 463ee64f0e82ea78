package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/present"
	"steadfall/internal/roster"
	"steadfall/internal/standing"
	"steadfall/kinematics"
	"steadfall/report/athlete"
	"steadfall/report/locale"
	"steadfall/report/physio"
)

func newAthlete() *cobra.Command {
	cmd := group("athlete", "the people of a squad: add, list, consent, report, export, delete",
		newAthleteAdd(), newAthleteImport(), newAthleteList(), newAthleteConsent(), newAthleteReport(), newAthleteExport(), newAthleteDelete())
	archiveFlag(cmd)
	return cmd
}

func newAthleteAdd() *cobra.Command {
	var p archive.Athlete
	var leg, by, on string
	cmd := &cobra.Command{
		Use: "add CODE [--name NAME] [--height-cm N] ...", Short: "add an athlete, or change their details", Args: oneArg("code"),
		Long: `Add an athlete, or change the details of one that is there; what is not given stays.
The code is a short name for files and lists, such as Ash or 07. Consent is needed before
anything of an athlete is imported: give it here with --consent-by, or later with
steadfall athlete consent.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			return with(cmd, func(a *archive.Archive) error {
				p.Code, p.Leg = args[0], kinematics.Side(leg)
				if by != "" {
					p.Consent = &archive.Consent{Given: true, Date: on, By: by}
				}
				known, err := knownAthlete(cmd, a, p.Code)
				if err != nil {
					return err
				}
				added, err := a.Put(cmd.Context(), merged(cmd, known, p))
				if err != nil {
					return err
				}
				word := "changed"
				if added > 0 {
					word = "added"
				}
				fmt.Fprintf(cmd.OutOrStdout(), "%s %s\n", word, p.Code)
				return nil
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&p.Name, "name", "", "the athlete's `NAME`; may be left out")
	f.StringVar(&p.Sex, "sex", "", "`SEX`: female, male or other")
	f.IntVar(&p.BirthYear, "birth-year", 0, "`YEAR` of birth")
	f.StringVar(&leg, "leg", "", "dominant `LEG`: left or right")
	statureFlag(f, &p.HeightCM, "height-cm", "height, `CM`; gives the scale where no length is known")
	numberFlag(f, &p.MassKG, "mass-kg", 15, 250, "mass, `KG`")
	f.StringVar(&p.Notes, "notes", "", "`TEXT` for staff")
	f.StringVar(&by, "consent-by", "", "`WHO` consented: the athlete, or a minor's guardian by name")
	f.StringVar(&on, "consent-on", today(), "`DATE` of the consent")
	return cmd
}

// knownAthlete is the athlete of a code, or nothing of them where there is none.
func knownAthlete(cmd *cobra.Command, a *archive.Archive, code string) (archive.Athlete, error) {
	all, err := a.Athletes(cmd.Context())
	p, _ := find(all, code)
	return p, err
}

// merged is the known athlete with what the flags give.
func merged(cmd *cobra.Command, known, given archive.Athlete) archive.Athlete {
	set := func(flag string, f func()) {
		if cmd.Flags().Changed(flag) {
			f()
		}
	}
	set("name", func() { known.Name = given.Name })
	set("sex", func() { known.Sex = given.Sex })
	set("birth-year", func() { known.BirthYear = given.BirthYear })
	set("leg", func() { known.Leg = given.Leg })
	set("height-cm", func() { known.HeightCM = given.HeightCM })
	set("mass-kg", func() { known.MassKG = given.MassKG })
	set("notes", func() { known.Notes = given.Notes })
	if known.Consent = nil; given.Consent != nil {
		known.Consent = given.Consent
	}
	return known
}

func newAthleteList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "list the squad", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return with(cmd, func(a *archive.Archive) error {
				all, err := a.Athletes(cmd.Context())
				if err != nil {
					return err
				}
				t := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 8, 2, ' ', 0)
				fmt.Fprintln(t, "code\tname\tborn\theight\tconsent")
				for _, p := range all {
					fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", p.Code, p.Name, orDash(p.BirthYear != 0, "%d", p.BirthYear), orDash(p.HeightCM > 0, "%.0f cm", p.HeightCM), consentWords(p))
				}
				return t.Flush()
			})
		},
	}
}

func newAthleteConsent() *cobra.Command {
	var by, on string
	var withdrawn bool
	cmd := &cobra.Command{
		Use: "consent CODE --by WHO [--on DATE] [--withdrawn]", Short: "record that consent to film and keep was given or withdrawn", Args: oneArg("athlete"),
		Long: `Record that consent to film and to keep the results was given or withdrawn, by the athlete
or, for a minor, by a guardian; local law says who may. Withdrawn consent stops imports;
what is kept already is taken out with steadfall athlete delete.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if by == "" {
				return wrong(cmd, "say who gave or withdrew it with --by")
			}
			return with(cmd, func(a *archive.Archive) error {
				if err := a.SetConsent(cmd.Context(), args[0], archive.Consent{Given: !withdrawn, Date: on, By: by}); err != nil {
					return err
				}
				fmt.Fprintln(cmd.OutOrStdout(), "recorded")
				return nil
			})
		},
	}
	cmd.Flags().StringVar(&by, "by", "", "`WHO`: the athlete, or a minor's guardian by name")
	cmd.Flags().StringVar(&on, "on", today(), "`DATE`")
	cmd.Flags().BoolVar(&withdrawn, "withdrawn", false, "the consent was withdrawn")
	return cmd
}

func newAthleteExport() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use: "export CODE -o FILE.zip", Short: "write everything that is kept of one athlete", Args: oneArg("athlete"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if out == "" {
				return wrong(cmd, "name the file with -o FILE.zip")
			}
			return with(cmd, func(a *archive.Archive) error { return exportAthlete(cmd, a, args[0], out) })
		},
	}
	cmd.Flags().StringVarP(&out, "out", "o", "", "write it here (`FILE.zip`)")
	return cmd
}

func exportAthlete(cmd *cobra.Command, a *archive.Archive, code, out string) error {
	missing, err := a.ExportAthlete(cmd.Context(), code, out)
	if err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "wrote %s\n", out)
	for _, name := range missing {
		fmt.Fprintf(cmd.OutOrStdout(), "not in it: %s, which the archive has lost; see steadfall archive check\n", name)
	}
	return nil
}

func newAthleteDelete() *cobra.Command {
	var yes bool
	var export string
	cmd := &cobra.Command{
		Use: "delete CODE --yes [--export FILE.zip]", Short: "take an athlete and all that is kept of them out for good", Args: oneArg("athlete"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return with(cmd, func(a *archive.Archive) error {
				p, err := a.Athlete(cmd.Context(), args[0])
				if err != nil {
					return err
				}
				if !yes {
					return wrong(cmd, "deleting %s cannot be undone; say --yes to do it, and --export FILE.zip to have a copy first", p.Code)
				}
				if export != "" {
					if err := exportAthlete(cmd, a, p.Code, export); err != nil {
						return err
					}
				}
				d, err := a.Delete(cmd.Context(), p.Code)
				if err != nil {
					return err
				}
				out := cmd.OutOrStdout()
				fmt.Fprintf(out, "deleted %s: %d trials, %d clips and pictures\n", p.Code, d.Trials, d.Files)
				for _, b := range d.Backups {
					fmt.Fprintf(out, "still in the backup %s of %s; delete it and make a new one\n", b.File, b.Made)
				}
				return nil
			})
		},
	}
	cmd.Flags().BoolVar(&yes, "yes", false, "delete without asking back")
	cmd.Flags().StringVar(&export, "export", "", "first write everything of the athlete into `FILE.zip`")
	return cmd
}

func newAthleteReport() *cobra.Command {
	var ladder, html, forPhysio, date, task string
	var loc locale.Locale
	cmd := &cobra.Command{
		Use: "report CODE [-o PAGE.html] [--physio PAGE.html]", Short: "write an athlete's page: where they stand, what changed", Args: oneArg("athlete"),
		Long: `Write an athlete's page: where they stand on the ladder and what changed. With --physio
also, or only, every trial of one day with every number: the checklist trial by trial, the
curves of all trials and their mean, both legs, earlier sessions, clips and settings.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if html == "" && forPhysio == "" {
				return wrong(cmd, "name the page with -o PAGE.html or --physio PAGE.html")
			}
			if err := cmp.Or(checkOut(cmd, "-o", html, pageOrDash), checkOut(cmd, "--physio", forPhysio, pageOrDash)); err != nil {
				return err
			}
			if date != "" {
				if err := archive.CheckDate(date); err != nil {
					return err
				}
			}
			l, err := loadLadder(ladder)
			if err != nil {
				return err
			}
			return with(cmd, func(a *archive.Archive) error {
				at, err := standing.One(cmd.Context(), a, l, args[0])
				if err != nil {
					return err
				}
				page, err := present.One(cmd.Context(), a, l, at, "steadfall "+version)
				if err != nil {
					return err
				}
				page.Locale = loc
				if err := writeOut(cmd, html, func(w io.Writer) error { return athlete.Write(w, page) }); err != nil || forPhysio == "" {
					return err
				}
				numbers, err := present.Physio(cmd.Context(), a, page.Code, present.Day{Date: date, Task: kinematics.Task(task)}, "steadfall "+version, nil, nil)
				if err != nil {
					return err
				}
				numbers.Locale = loc
				return writeOut(cmd, forPhysio, func(w io.Writer) error { return physio.Write(w, numbers) })
			})
		},
	}
	ladderFlag(cmd, &ladder)
	cmd.Flags().StringVarP(&html, "out", "o", "", "write the page (`PAGE.html`)")
	cmd.Flags().StringVar(&forPhysio, "physio", "", "write every number of one day (`PAGE.html`)")
	cmd.Flags().StringVar(&date, "date", "", "that day (`YYYY-MM-DD`); the newest unless said otherwise")
	cmd.Flags().StringVar(&task, "task", "", "that `TASK`; the one with the most trials that day unless said otherwise")
	localeFlags(cmd, &loc)
	return cmd
}

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
	var all []archive.Athlete
	added, changed := 0, 0
	for _, r := range rows {
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
			added++
			fmt.Fprintf(out, "%s: new; %s\n", now.Code, what)
		case what == "":
			continue
		default:
			changed++
			fmt.Fprintf(out, "%s: %s\n", now.Code, what)
		}
		all = append(all, now)
	}
	same := len(rows) - added - changed
	if dry {
		fmt.Fprintf(out, "%d would be added, %d changed, %d are so already; nothing was changed\n", added, changed, same)
		return nil
	}
	if _, err := a.Put(cmd.Context(), all...); err != nil {
		return err
	}
	fmt.Fprintf(out, "%d added, %d changed, %d were so already\n", added, changed, same)
	return nil
}

// find is the athlete of a code, or one of whom only the code is known.
func find(all []archive.Athlete, code string) (archive.Athlete, bool) {
	for _, p := range all {
		if strings.EqualFold(p.Code, code) {
			return p, true
		}
	}
	return archive.Athlete{Code: code}, false
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
