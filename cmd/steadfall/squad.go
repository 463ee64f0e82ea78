package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/present"
	"steadfall/internal/standing"
	"steadfall/kinematics"
	"steadfall/report/athlete"
	"steadfall/report/landing"
	"steadfall/report/locale"
	"steadfall/report/physio"
	"steadfall/report/squad"
	"steadfall/scoring"
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
					e := json.NewEncoder(cmd.OutOrStdout())
					e.SetIndent("", " ")
					return e.Encode(standings)
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

func printSquad(w io.Writer, rows []squad.Row) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	for _, r := range rows {
		why := slices.Concat(r.Standing.Physio, r.Standing.Because)
		if r.Missing {
			why = slices.Insert(why, 0, scoring.Sentence{Words: strings.TrimSpace("last seen " + orDash(r.LastSeen != "", "%s", r.LastSeen) + " " + r.Absent)})
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\n", r.Code, strings.ReplaceAll(r.Group(), "_", " "), r.Standing.Title, why)
	}
	return t.Flush()
}

// athletePages writes a page for each athlete into a folder and links them.
func athletePages(cmd *cobra.Command, a *archive.Archive, l scoring.Ladder, p squad.Page, dir string) error {
	if err := archive.NotOwn(filepath.Join(dir, "athlete.html")); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("the folder %q cannot be made; choose another", dir)
	}
	tell := staged(cmd, "writing pages")
	for i := range p.Rows {
		name := "athlete-" + strings.ToLower(p.Rows[i].Code) + ".html"
		page, err := present.Athlete(cmd.Context(), a, l, p.Rows[i], p.About)
		if err != nil {
			return err
		}
		page.Locale = p.Locale
		if err := writeOut(cmd, filepath.Join(dir, name), func(w io.Writer) error { return athlete.Write(w, page) }); err != nil {
			return err
		}
		p.Rows[i].Link = name
		tell(i+1, len(p.Rows))
	}
	return nil
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
