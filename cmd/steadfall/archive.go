package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/pipeline"
	"steadfall/internal/present"
	"steadfall/internal/rescore"
	"steadfall/report/export"
	"steadfall/scoring"
)

func newArchive() *cobra.Command {
	cmd := group("archive", "make, back up, check and export a squad's archive",
		newArchiveCreate(), newArchiveBackup(), newArchiveCheck(), newArchiveRestore(), newArchiveRescore(), newArchiveExport())
	archiveFlag(cmd)
	return cmd
}

func newArchiveCreate() *cobra.Command {
	var squad string
	cmd := &cobra.Command{
		Use: "create --archive FOLDER --squad NAME", Short: "make an empty archive in a new folder", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return createArchive(cmd, squad) },
	}
	cmd.Flags().StringVar(&squad, "squad", "", "`NAME` of the squad")
	return cmd
}

func createArchive(cmd *cobra.Command, squad string) error {
	dir, err := archiveDir(cmd)
	if err != nil {
		return err
	}
	if squad == "" {
		return wrong(cmd, "name the squad with --squad")
	}
	a, err := archive.Create(cmd.Context(), dir, archive.Squad{Name: squad})
	if err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "made the archive %s\nnext: steadfall athlete add, or athlete import for a whole list\n", dir)
	return a.Close()
}

func newArchiveBackup() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use: "backup -o FILE.zip", Short: "copy the whole archive into one file, even while it is in use", Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if out == "" {
				return wrong(cmd, "name the backup with -o FILE.zip")
			}
			return with(cmd, func(a *archive.Archive) error { return backUp(cmd, a, out) })
		},
	}
	cmd.Flags().StringVarP(&out, "out", "o", "", "write the backup (`FILE.zip`)")
	return cmd
}

func backUp(cmd *cobra.Command, a *archive.Archive, out string) error {
	lost, err := a.Backup(cmd.Context(), out, staged(cmd, "backing up"))
	if err != nil {
		return err
	}
	if len(lost) > 0 {
		tellLost(cmd, lost)
		return fmt.Errorf("wrote %s, and read it back, but for %d files of the archive (see above); earlier backups may have them", out, len(lost))
	}
	fmt.Fprintf(cmd.OutOrStdout(), "wrote %s, and read it back; it holds everything, so keep it as safe as the archive\n", out)
	return nil
}

func tellLost(cmd *cobra.Command, lost []string) {
	for _, l := range lost {
		fmt.Fprintln(cmd.OutOrStdout(), l)
	}
}

func newArchiveCheck() *cobra.Command {
	var repair bool
	cmd := &cobra.Command{
		Use: "check [--repair]", Short: "read everything in the archive and say whether it is sound", Args: noArgs,
		Long: `Read everything in the archive and say whether it is sound. Nothing is changed. With
--repair, clips and pictures that belong to no trial are moved into the folder left-over
of the archive, to be looked at and deleted by hand; never those younger than an hour, and
never where squad.db is not the database that the files were kept by.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return checkArchive(cmd, repair) },
	}
	cmd.Flags().BoolVar(&repair, "repair", false, "move clips and pictures of no trial into the folder left-over")
	return cmd
}

// checkArchive reads everything, as it is or after a repair, and says what was found.
func checkArchive(cmd *cobra.Command, repair bool) error {
	a, err := openToCheck(cmd, repair)
	if err != nil {
		return err
	}
	defer a.Close()
	if repair {
		if err := repaired(cmd, a); err != nil {
			return err
		}
	}
	c, err := a.Check(cmd.Context(), staged(cmd, "checking"))
	if err != nil {
		return err
	}
	return checked(cmd, c)
}

// openToCheck opens the archive as it is, unless it is to be repaired.
func openToCheck(cmd *cobra.Command, repair bool) (*archive.Archive, error) {
	dir, err := archiveDir(cmd)
	if err != nil {
		return nil, err
	}
	if repair {
		return archive.Open(cmd.Context(), dir)
	}
	return archive.OpenAsIs(cmd.Context(), dir)
}

// repaired moves what is left over and says what was moved.
func repaired(cmd *cobra.Command, a *archive.Archive) error {
	r, err := a.Repair(cmd.Context())
	for _, f := range r.Moved {
		fmt.Fprintf(cmd.OutOrStdout(), "moved %s into %s\n", f, r.To)
	}
	return err
}

// checked says what a check found.
func checked(cmd *cobra.Command, c archive.Checked) error {
	out := cmd.OutOrStdout()
	for _, f := range c.LeftOver {
		fmt.Fprintf(out, "%s belongs to no trial; steadfall archive check --repair moves it out of the way once it is an hour old\n", f)
	}
	if c.Pending > 0 {
		fmt.Fprintln(out, "an addition or a deletion is under way, or was cut off; the next command on the archive finishes it")
	}
	for _, p := range c.Problems {
		fmt.Fprintln(out, p)
	}
	if n := len(c.Problems); n > 0 {
		return fmt.Errorf("the archive is not sound (%d problems, see above); restore a backup with steadfall archive restore, or delete and import the trials again", n)
	}
	fmt.Fprintf(out, "sound: %d trials, %d clips and pictures\n", c.Trials, c.Files)
	return nil
}

func newArchiveRestore() *cobra.Command {
	return &cobra.Command{
		Use: "restore BACKUP.zip --archive FOLDER", Short: "make an archive in a new folder from a backup", Args: oneArg("backup"),
		RunE: func(cmd *cobra.Command, args []string) error { return restore(cmd, args[0]) },
	}
}

func restore(cmd *cobra.Command, backup string) error {
	dir, err := archiveDir(cmd)
	if err != nil {
		return err
	}
	lost, err := archive.Restore(cmd.Context(), backup, dir)
	if err != nil {
		return err
	}
	if len(lost) > 0 {
		tellLost(cmd, lost)
		return fmt.Errorf("restored into %s, but %d things are not as they were (see above); other backups may have them", dir, len(lost))
	}
	fmt.Fprintf(cmd.OutOrStdout(), "restored into %s\n", dir)
	return nil
}

// rescoreOptions are by which checklist, empty for that of the feet, and from what.
type rescoreOptions struct {
	checklist string
	again     bool
}

func newArchiveRescore() *cobra.Command {
	var o rescoreOptions
	cmd := &cobra.Command{
		Use: "rescore [--checklist NAME|FILE.yaml] [--measure-again]", Short: "score every trial again; earlier results stay", Args: noArgs,
		Long: `Score every trial again, by another checklist or by this version's own ones, from the
kept measures. With --measure-again the kept tracks are measured anew first, which takes
far longer. Earlier results stay beside the new ones.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return with(cmd, func(a *archive.Archive) error { return o.run(cmd, a) })
		},
	}
	cmd.Flags().StringVar(&o.checklist, "checklist", "", "bundled `NAME` or a .yaml file (default: by the feet)")
	cmd.Flags().BoolVar(&o.again, "measure-again", false, "measure the kept tracks again first")
	return cmd
}

func (o rescoreOptions) run(cmd *cobra.Command, a *archive.Archive) error {
	if o.again {
		return o.measureAgain(cmd, a)
	}
	pick := func(feet int) (scoring.Checklist, error) {
		return pipeline.LoadChecklist(cmp.Or(o.checklist, scoring.Default(feet)))
	}
	done, err := rescore.All(cmd.Context(), a, pick, "steadfall "+version, staged(cmd, "scoring"))
	if err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "%d trials scored, %d had been scored so before\n", done.Trials, done.Already)
	return printChanged(out, done.Changed)
}

// measureAgain measures the kept tracks anew and scores them.
func (o rescoreOptions) measureAgain(cmd *cobra.Command, a *archive.Archive) error {
	done, err := rescore.MeasureAgain(cmd.Context(), a, o.checklist, "steadfall "+version, staged(cmd, "measuring"))
	if err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "%d trials measured and scored\n", done.Trials)
	return printChanged(out, done.Changed)
}

// printChanged prints which findings changed, most first within an item.
func printChanged(w io.Writer, all map[rescore.Change]int) error {
	if len(all) == 0 {
		fmt.Fprintln(w, "no finding of an item that was there before changed")
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "item\twas\tis\ttrials and legs")
	for _, c := range ordered(all) {
		fmt.Fprintf(t, "%s\t%s\t%s\t%d\n", c.Item, c.From, c.To, all[c])
	}
	return t.Flush()
}

// ordered are the changes by item, most first.
func ordered(all map[rescore.Change]int) []rescore.Change {
	return slices.SortedFunc(maps.Keys(all), func(a, b rescore.Change) int {
		return cmp.Or(cmp.Compare(a.Item, b.Item), cmp.Compare(all[b], all[a]), cmp.Compare(a.From+a.To, b.From+b.To))
	})
}

// exportOptions are what an export is asked for: the files, empty for none, and of whom.
type exportOptions struct {
	measures, findings, asJSON, fhir string
	code, date, title                string
	all                              bool
}

func newArchiveExport() *cobra.Command {
	var o exportOptions
	cmd := &cobra.Command{
		Use: "export [--measures M.csv] [--findings F.csv] [--json ALL.json] [--fhir BUNDLE.json]", Short: "write results as tables, JSON or FHIR", Args: noArgs,
		Long: `Write the newest result of each trial: tidy tables of measures and findings (CSV), JSON
with a published schema, or an HL7 FHIR R4 bundle of Observations for a clinic's records.
Athletes appear by their codes. Everything of one athlete, for themselves, is
steadfall athlete export.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if o.measures+o.findings+o.asJSON+o.fhir == "" {
				return wrong(cmd, "say what to write: --measures, --findings, --json or --fhir")
			}
			return with(cmd, func(a *archive.Archive) error { return o.run(cmd, a) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.measures, "measures", "", "table of measures (`M.csv`, or -)")
	f.StringVar(&o.findings, "findings", "", "table of findings (`F.csv`, or -)")
	f.StringVar(&o.asJSON, "json", "", "everything as JSON (`ALL.json`, or -)")
	f.StringVar(&o.fhir, "fhir", "", "HL7 FHIR R4 bundle (`BUNDLE.json`, or -)")
	f.StringVar(&o.code, "athlete", "", "only the athlete of this `CODE`")
	f.StringVar(&o.date, "date", "", "only the session of this `DATE`")
	f.StringVar(&o.title, "title", "", "`TITLE` of the session, where there are several on the date")
	f.BoolVar(&o.all, "all", false, "every result of a trial, not the newest alone")
	return cmd
}

func (o exportOptions) run(cmd *cobra.Command, a *archive.Archive) error {
	squad, err := a.Squad(cmd.Context())
	if err != nil {
		return err
	}
	records, err := o.records(cmd, a)
	if err != nil {
		return err
	}
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{o.measures, func(w io.Writer) error { return export.WriteMeasures(w, records) }},
		{o.findings, func(w io.Writer) error { return export.WriteFindings(w, records) }},
		{o.asJSON, func(w io.Writer) error {
			return export.WriteJSON(w, export.Document{Squad: squad.Name, Invented: squad.Invented, Records: records})
		}},
		{o.fhir, func(w io.Writer) error { return export.WriteFHIR(w, squad.Name, records) }},
	} {
		if err := writeOut(cmd, f.name, f.write); err != nil {
			return err
		}
	}
	return nil
}

// records are the results that are asked for.
func (o exportOptions) records(cmd *cobra.Command, a *archive.Archive) ([]export.Record, error) {
	if o.code != "" {
		if _, err := a.Athlete(cmd.Context(), o.code); err != nil {
			return nil, err
		}
	}
	var s archive.Session
	if o.date != "" {
		var err error
		if s, err = a.SessionOn(cmd.Context(), o.date, o.title); err != nil {
			return nil, err
		}
	}
	kept, err := a.Records(cmd.Context(), o.code, s.ID, o.all, staged(cmd, "reading"))
	return present.Records(kept), err
}
