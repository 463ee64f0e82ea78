package main

import (
	"cmp"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/present"
	"steadfall/report/locale"
	"steadfall/report/squad"
)

func newSquad() *cobra.Command {
	var ladder, html, wall, table, pages string
	var asJSON bool
	var loc locale.Locale
	cmd := &cobra.Command{
		Use: "squad [-o SQUAD.html] [--wall WALL.html] [--csv SQUAD.csv] [--pages FOLDER]", Short: "say who is ready, who repeats, who goes to the physio, who is missing", Args: noArgs,
		Long: `Say where everybody of the squad stands on the ladder and why: who is ready for the next
step, who repeats, who goes to the physio, who is missing from the newest session. The
rules say so; a person decides (steadfall ladder decide). The page for the gym wall
(--wall) holds nothing of anybody's health.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			l, err := loadLadder(ladder)
			if err != nil {
				return err
			}
			if err := cmp.Or(checkOut(cmd, "-o", html, pageOrDash), checkOut(cmd, "--wall", wall, pageOrDash), checkOut(cmd, "--csv", table, aTable)); err != nil {
				return err
			}
			return with(cmd, func(a *archive.Archive) error {
				p, standings, err := present.Squad(cmd.Context(), a, l, "steadfall "+version)
				if err != nil {
					return err
				}
				p.Locale = loc
				if pages != "" {
					if html == "" {
						html = filepath.Join(pages, "squad.html")
					}
					if err := athletePages(cmd, a, l, p, pages); err != nil {
						return err
					}
				}
				if err := writeOut(cmd, html, func(w io.Writer) error { return squad.Write(w, p) }); err != nil {
					return err
				}
				if err := writeOut(cmd, wall, func(w io.Writer) error { return squad.WriteWall(w, p) }); err != nil {
					return err
				}
				if err := writeOut(cmd, table, func(w io.Writer) error { return squad.WriteTable(w, p.Rows) }); err != nil {
					return err
				}
				if asJSON {
					return printJSON(cmd.OutOrStdout(), standings)
				}
				if table != "-" && html != "-" && wall != "-" {
					return printSquad(cmd.OutOrStdout(), p.Rows)
				}
				return nil
			})
		},
	}
	archiveFlag(cmd)
	ladderFlag(cmd, &ladder)
	cmd.Flags().StringVarP(&html, "out", "o", "", "write the page (`SQUAD.html`)")
	cmd.Flags().StringVar(&wall, "wall", "", "write the page for the gym wall (`WALL.html`)")
	cmd.Flags().StringVar(&table, "csv", "", "write the table (`SQUAD.csv`, or -)")
	cmd.Flags().StringVar(&pages, "pages", "", "write the squad's page and one for each athlete into `FOLDER`")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	localeFlags(cmd, &loc)
	return cmd
}
