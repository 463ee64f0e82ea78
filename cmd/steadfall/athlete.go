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
	"steadfall/internal/standing"
	"steadfall/kinematics"
	"steadfall/report/athlete"
	"steadfall/report/locale"
	"steadfall/report/physio"
	"steadfall/scoring"
)

func newAthlete() *cobra.Command {
	cmd := group("athlete", "the people of a squad: add, list, consent, report, export, delete",
		newAthleteAdd(), newAthleteImport(), newAthleteList(), newAthleteConsent(), newAthleteReport(), newAthleteExport(), newAthleteDelete())
	archiveFlag(cmd)
	return cmd
}

// addOptions are what is said of an athlete.
type addOptions struct {
	given       archive.Athlete
	leg, by, on string
}

func newAthleteAdd() *cobra.Command {
	var o addOptions
	cmd := &cobra.Command{
		Use: "add CODE [--name NAME] [--height-cm N] ...", Short: "add an athlete, or change their details", Args: oneArg("code"),
		Long: `Add an athlete, or change the details of one that is there; what is not given stays.
The code is a short name for files and lists, such as Ash or 07. Consent is needed before
anything of an athlete is imported: give it here with --consent-by, or later with
steadfall athlete consent.`,
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args[0]) },
	}
	f := cmd.Flags()
	f.StringVar(&o.given.Name, "name", "", "the athlete's `NAME`; may be left out")
	f.StringVar(&o.given.Sex, "sex", "", "`SEX`: female, male or other")
	f.IntVar(&o.given.BirthYear, "birth-year", 0, "`YEAR` of birth")
	f.StringVar(&o.leg, "leg", "", "dominant `LEG`: left or right")
	statureFlag(f, &o.given.HeightCM, "height-cm", "height, `CM`; gives the scale where no length is known")
	numberFlag(f, &o.given.MassKG, "mass-kg", 15, 250, "mass, `KG`")
	f.StringVar(&o.given.Notes, "notes", "", "`TEXT` for staff")
	f.StringVar(&o.by, "consent-by", "", "`WHO` consented: the athlete, or a minor's guardian by name")
	f.StringVar(&o.on, "consent-on", today(), "`DATE` of the consent")
	return cmd
}

func (o addOptions) run(cmd *cobra.Command, code string) error {
	return with(cmd, func(a *archive.Archive) error {
		known, err := knownAthlete(cmd, a, code)
		if err != nil {
			return err
		}
		added, err := a.Put(cmd.Context(), o.merged(cmd, known))
		if err != nil {
			return err
		}
		word := "changed"
		if added > 0 {
			word = "added"
		}
		fmt.Fprintf(cmd.OutOrStdout(), "%s %s\n", word, code)
		return nil
	})
}

// knownAthlete is the athlete of a code, or nothing of them where there is none.
func knownAthlete(cmd *cobra.Command, a *archive.Archive, code string) (archive.Athlete, error) {
	all, err := a.Athletes(cmd.Context())
	p, _ := find(all, code)
	return p, err
}

// merged is the known athlete with what the flags give.
func (o addOptions) merged(cmd *cobra.Command, known archive.Athlete) archive.Athlete {
	set := func(flag string, f func()) {
		if cmd.Flags().Changed(flag) {
			f()
		}
	}
	set("name", func() { known.Name = o.given.Name })
	set("sex", func() { known.Sex = o.given.Sex })
	set("birth-year", func() { known.BirthYear = o.given.BirthYear })
	set("leg", func() { known.Leg = kinematics.Side(o.leg) })
	set("height-cm", func() { known.HeightCM = o.given.HeightCM })
	set("mass-kg", func() { known.MassKG = o.given.MassKG })
	set("notes", func() { known.Notes = o.given.Notes })
	if known.Consent = nil; o.by != "" {
		known.Consent = &archive.Consent{Given: true, Date: o.on, By: o.by}
	}
	return known
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

func newAthleteList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "list the squad", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return with(cmd, func(a *archive.Archive) error {
				all, err := a.Athletes(cmd.Context())
				if err != nil {
					return err
				}
				return printAthletes(cmd.OutOrStdout(), all)
			})
		},
	}
}

func printAthletes(w io.Writer, all []archive.Athlete) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "code\tname\tborn\theight\tconsent")
	for _, p := range all {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", p.Code, p.Name, orDash(p.BirthYear != 0, "%d", p.BirthYear), orDash(p.HeightCM > 0, "%.0f cm", p.HeightCM), consentWords(p))
	}
	return t.Flush()
}

// consentOptions are who gave or withdrew consent, and when.
type consentOptions struct {
	by, on    string
	withdrawn bool
}

func newAthleteConsent() *cobra.Command {
	var o consentOptions
	cmd := &cobra.Command{
		Use: "consent CODE --by WHO [--on DATE] [--withdrawn]", Short: "record that consent to film and keep was given or withdrawn", Args: oneArg("athlete"),
		Long: `Record that consent to film and to keep the results was given or withdrawn, by the athlete
or, for a minor, by a guardian; local law says who may. Withdrawn consent stops imports;
what is kept already is taken out with steadfall athlete delete.`,
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args[0]) },
	}
	cmd.Flags().StringVar(&o.by, "by", "", "`WHO`: the athlete, or a minor's guardian by name")
	cmd.Flags().StringVar(&o.on, "on", today(), "`DATE`")
	cmd.Flags().BoolVar(&o.withdrawn, "withdrawn", false, "the consent was withdrawn")
	return cmd
}

func (o consentOptions) run(cmd *cobra.Command, code string) error {
	if o.by == "" {
		return wrong(cmd, "say who gave or withdrew it with --by")
	}
	return with(cmd, func(a *archive.Archive) error {
		if err := a.SetConsent(cmd.Context(), code, archive.Consent{Given: !o.withdrawn, Date: o.on, By: o.by}); err != nil {
			return err
		}
		fmt.Fprintln(cmd.OutOrStdout(), "recorded")
		return nil
	})
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

// deleteOptions are whether it is meant, and the copy that is made first, empty for none.
type deleteOptions struct {
	yes    bool
	export string
}

func newAthleteDelete() *cobra.Command {
	var o deleteOptions
	cmd := &cobra.Command{
		Use: "delete CODE --yes [--export FILE.zip]", Short: "take an athlete and all that is kept of them out for good", Args: oneArg("athlete"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return with(cmd, func(a *archive.Archive) error { return o.run(cmd, a, args[0]) })
		},
	}
	cmd.Flags().BoolVar(&o.yes, "yes", false, "delete without asking back")
	cmd.Flags().StringVar(&o.export, "export", "", "first write everything of the athlete into `FILE.zip`")
	return cmd
}

func (o deleteOptions) run(cmd *cobra.Command, a *archive.Archive, code string) error {
	p, err := a.Athlete(cmd.Context(), code)
	if err != nil {
		return err
	}
	if !o.yes {
		return wrong(cmd, "deleting %s cannot be undone; say --yes to do it, and --export FILE.zip to have a copy first", p.Code)
	}
	if o.export != "" {
		if err := exportAthlete(cmd, a, p.Code, o.export); err != nil {
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
}

// athletePageOptions are the pages of an athlete, empty for none, and the day of the physio's.
type athletePageOptions struct {
	ladder       string
	html, physio string
	date, task   string
	locale       locale.Locale
}

func newAthleteReport() *cobra.Command {
	var o athletePageOptions
	cmd := &cobra.Command{
		Use: "report CODE [-o PAGE.html] [--physio PAGE.html]", Short: "write an athlete's page: where they stand, what changed", Args: oneArg("athlete"),
		Long: `Write an athlete's page: where they stand on the ladder and what changed. With --physio
also, or only, every trial of one day with every number: the checklist trial by trial, the
curves of all trials and their mean, both legs, earlier sessions, clips and settings.`,
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd, args[0]) },
	}
	ladderFlag(cmd, &o.ladder)
	cmd.Flags().StringVarP(&o.html, "out", "o", "", "write the page (`PAGE.html`)")
	cmd.Flags().StringVar(&o.physio, "physio", "", "write every number of one day (`PAGE.html`)")
	cmd.Flags().StringVar(&o.date, "date", "", "that day (`YYYY-MM-DD`); the newest unless said otherwise")
	cmd.Flags().StringVar(&o.task, "task", "", "that `TASK`; the one with the most trials that day unless said otherwise")
	localeFlags(cmd, &o.locale)
	return cmd
}

func (o athletePageOptions) run(cmd *cobra.Command, code string) error {
	if err := o.check(cmd); err != nil {
		return err
	}
	l, err := loadLadder(o.ladder)
	if err != nil {
		return err
	}
	return with(cmd, func(a *archive.Archive) error {
		page, err := o.page(cmd, a, l, code)
		if err != nil {
			return err
		}
		if err := writeOut(cmd, o.html, func(w io.Writer) error { return athlete.Write(w, page) }); err != nil || o.physio == "" {
			return err
		}
		return o.writePhysio(cmd, a, page.Code)
	})
}

// check refuses pages that could not be written and a date that is none.
func (o athletePageOptions) check(cmd *cobra.Command) error {
	if o.html == "" && o.physio == "" {
		return wrong(cmd, "name the page with -o PAGE.html or --physio PAGE.html")
	}
	if err := cmp.Or(checkOut(cmd, "-o", o.html, pageOrDash), checkOut(cmd, "--physio", o.physio, pageOrDash)); err != nil || o.date == "" {
		return err
	}
	return archive.CheckDate(o.date)
}

// page is the athlete's page.
func (o athletePageOptions) page(cmd *cobra.Command, a *archive.Archive, l scoring.Ladder, code string) (athlete.Page, error) {
	at, err := standing.One(cmd.Context(), a, l, code)
	if err != nil {
		return athlete.Page{}, err
	}
	page, err := present.One(cmd.Context(), a, l, at, "steadfall "+version)
	page.Locale = o.locale
	return page, err
}

// writePhysio writes the page for the physio, with every number of one day.
func (o athletePageOptions) writePhysio(cmd *cobra.Command, a *archive.Archive, code string) error {
	day := present.Day{Date: o.date, Task: kinematics.Task(o.task)}
	numbers, err := present.Physio(cmd.Context(), a, code, day, "steadfall "+version, nil, nil)
	if err != nil {
		return err
	}
	numbers.Locale = o.locale
	return writeOut(cmd, o.physio, func(w io.Writer) error { return physio.Write(w, numbers) })
}
