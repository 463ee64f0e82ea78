package main

import (
	"cmp"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/present"
	"steadfall/internal/standing"
	"steadfall/report/locale"
	"steadfall/report/squad"
)

// squadOptions are what is told of a squad: the files, empty for none.
type squadOptions struct {
	ladder                   string
	html, wall, table, pages string
	asJSON                   bool
	locale                   locale.Locale
}

func newSquad() *cobra.Command {
	var o squadOptions
	cmd := &cobra.Command{
		Use: "squad [-o SQUAD.html] [--wall WALL.html] [--csv SQUAD.csv] [--pages FOLDER]", Short: "say who is ready, who repeats, who goes to the physio, who is missing", Args: noArgs,
		Long: `Say where everybody of the squad stands on the ladder and why: who is ready for the next
step, who repeats, who goes to the physio, who is missing from the newest session. The
rules say so; a person decides (steadfall ladder decide). The page for the gym wall
(--wall) holds nothing of anybody's health.`,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd) },
	}
	archiveFlag(cmd)
	ladderFlag(cmd, &o.ladder)
	cmd.Flags().StringVarP(&o.html, "out", "o", "", "write the page (`SQUAD.html`)")
	cmd.Flags().StringVar(&o.wall, "wall", "", "write the page for the gym wall (`WALL.html`)")
	cmd.Flags().StringVar(&o.table, "csv", "", "write the table (`SQUAD.csv`, or -)")
	cmd.Flags().StringVar(&o.pages, "pages", "", "write the squad's page and one for each athlete into `FOLDER`")
	cmd.Flags().BoolVar(&o.asJSON, "json", false, "print JSON")
	localeFlags(cmd, &o.locale)
	return cmd
}

func (o squadOptions) run(cmd *cobra.Command) error {
	l, err := loadLadder(o.ladder)
	if err != nil {
		return err
	}
	if err := o.check(cmd); err != nil {
		return err
	}
	if o.pages != "" {
		o.html = cmp.Or(o.html, filepath.Join(o.pages, "squad.html"))
	}
	return with(cmd, func(a *archive.Archive) error {
		p, standings, err := present.Squad(cmd.Context(), a, l, "steadfall "+version)
		if err != nil {
			return err
		}
		p.Locale = o.locale
		if o.pages != "" {
			if err := athletePages(cmd, a, l, p, o.pages); err != nil {
				return err
			}
		}
		if err := o.write(cmd, p); err != nil {
			return err
		}
		return o.print(cmd.OutOrStdout(), p, standings)
	})
}

// check refuses outputs that could not be written.
func (o squadOptions) check(cmd *cobra.Command) error {
	return cmp.Or(checkOut(cmd, "-o", o.html, pageOrDash), checkOut(cmd, "--wall", o.wall, pageOrDash), checkOut(cmd, "--csv", o.table, aTable))
}

// write writes the pages and the table of the squad.
func (o squadOptions) write(cmd *cobra.Command, p squad.Page) error {
	if err := writeOut(cmd, o.html, func(w io.Writer) error { return squad.Write(w, p) }); err != nil {
		return err
	}
	if err := writeOut(cmd, o.wall, func(w io.Writer) error { return squad.WriteWall(w, p) }); err != nil {
		return err
	}
	return writeOut(cmd, o.table, func(w io.Writer) error { return squad.WriteTable(w, p.Rows) })
}

// print prints where everybody stands, unless a file goes to standard output.
func (o squadOptions) print(w io.Writer, p squad.Page, standings []standing.Standing) error {
	switch {
	case o.asJSON:
		return printJSON(w, standings)
	case o.table == "-" || o.html == "-" || o.wall == "-":
		return nil
	}
	return printSquad(w, p.Rows)
}
