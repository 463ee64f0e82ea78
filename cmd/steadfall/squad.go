package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/report"
	"steadfall/scoring"
)

func newSquad() *cobra.Command {
	var ladder, html, table, pages string
	var asJSON bool
	cmd := &cobra.Command{
		Use: "squad [-o SQUAD.html] [--csv SQUAD.csv] [--pages FOLDER]", Short: "say who is ready, who repeats, who goes to the physio, who is missing", Args: noArgs,
		Long: `Say where everybody of the squad stands on the ladder and why: who is ready for the next
step, who repeats, who goes to the physio, who is missing from the newest session. The
rules say so; a person decides (steadfall ladder decide).`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			l, err := loadLadder(ladder)
			if err != nil {
				return err
			}
			return with(cmd, func(a *archive.Archive) error {
				p, places, err := squadPage(cmd, a, l)
				if err != nil {
					return err
				}
				if pages != "" {
					if html == "" {
						html = filepath.Join(pages, "squad.html")
					}
					if err := athletePages(cmd, a, l, p, pages); err != nil {
						return err
					}
				}
				if err := writeOut(cmd, html, func(w io.Writer) error { return report.WriteSquad(w, p) }); err != nil {
					return err
				}
				if err := writeOut(cmd, table, func(w io.Writer) error { return report.WriteSquadTable(w, p.Rows) }); err != nil {
					return err
				}
				if asJSON {
					e := json.NewEncoder(cmd.OutOrStdout())
					e.SetIndent("", " ")
					return e.Encode(places)
				}
				if table != "-" && html != "-" {
					return printSquad(cmd.OutOrStdout(), p.Rows)
				}
				return nil
			})
		},
	}
	archiveFlag(cmd)
	ladderFlag(cmd, &ladder)
	cmd.Flags().StringVarP(&html, "out", "o", "", "write the page (`SQUAD.html`)")
	cmd.Flags().StringVar(&table, "csv", "", "write the table (`SQUAD.csv`, or -)")
	cmd.Flags().StringVar(&pages, "pages", "", "write the squad's page and one for each athlete into `FOLDER`")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}

// squadPage gathers the squad's page from the archive.
func squadPage(cmd *cobra.Command, a *archive.Archive, l scoring.Ladder) (report.SquadPage, []archive.Place, error) {
	s, err := a.Squad(cmd.Context())
	if err != nil {
		return report.SquadPage{}, nil, err
	}
	p := report.SquadPage{Squad: s.Name, Invented: s.Invented, Made: time.Now(), Tool: "steadfall " + version, Ladder: l}
	sessions, err := a.Sessions(cmd.Context())
	if err != nil {
		return p, nil, err
	}
	if n := len(sessions); n > 0 {
		p.Newest = sessions[n-1].Date
	}
	places, err := a.Standings(cmd.Context(), l)
	for _, at := range places {
		p.Rows = append(p.Rows, squadRow(at))
	}
	return p, places, err
}

func squadRow(at archive.Place) report.SquadRow {
	r := report.SquadRow{
		Code: at.Athlete.Code, Name: at.Athlete.Name, Standing: at.Standing,
		LastSeen: at.LastSeen, Missing: at.Missing, Absent: at.Absent, Trials: at.Trials,
	}
	if len(at.Errors) > 0 {
		e := at.Errors[0]
		r.Error, r.ErrorIn, r.ErrorOf, r.Cue = e.Text, e.Trials, e.Of, e.Cue
	}
	return r
}

func printSquad(w io.Writer, rows []report.SquadRow) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	for _, r := range rows {
		why := append(append([]string{}, r.Standing.Physio...), r.Standing.Because...)
		if r.Missing {
			why = append([]string{strings.TrimSpace("last seen " + orDash(r.LastSeen != "", "%s", r.LastSeen) + " " + r.Absent)}, why...)
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\n", r.Code, strings.ReplaceAll(r.Group(), "_", " "), r.Standing.Title, strings.Join(why, "; "))
	}
	return t.Flush()
}

// athletePages writes a page for each athlete into a folder and links them.
func athletePages(cmd *cobra.Command, a *archive.Archive, l scoring.Ladder, p report.SquadPage, dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the folder %q cannot be made; choose another", dir)
	}
	tell := staged(cmd, "writing pages")
	for i := range p.Rows {
		name := "athlete-" + strings.ToLower(p.Rows[i].Code) + ".html"
		page, err := athletePage(cmd, a, l, p.Rows[i], p)
		if err != nil {
			return err
		}
		if err := writeQuietly(filepath.Join(dir, name), func(w io.Writer) error { return report.WriteAthlete(w, page) }); err != nil {
			return err
		}
		p.Rows[i].Link = name
		tell(i+1, len(p.Rows))
	}
	return nil
}

// athletePage gathers an athlete's page from the archive.
func athletePage(cmd *cobra.Command, a *archive.Archive, l scoring.Ladder, row report.SquadRow, squad report.SquadPage) (report.AthletePage, error) {
	ctx := cmd.Context()
	p := report.AthletePage{Squad: squad.Squad, Invented: squad.Invented, Made: squad.Made, Tool: squad.Tool, Code: row.Code, Name: row.Name, Row: row, Steps: l.Steps}
	taken, err := a.History(ctx, row.Code)
	if err != nil {
		return p, err
	}
	p.Progress = scoring.NewProgress(taken)
	decided, err := a.Decisions(ctx, row.Code)
	if err != nil {
		return p, err
	}
	for _, d := range decided {
		title := "all done"
		if s, err := l.Step(d.Step); err == nil && d.Step != "" {
			title = s.Title
		}
		p.Decided = append(p.Decided, report.DecisionRow{Date: d.Made[:len(time.DateOnly)], Step: title, Told: d.Told, Reason: d.Reason, By: d.By})
	}
	scores, err := a.Scores(ctx, row.Code)
	if err != nil {
		return p, err
	}
	for _, s := range scores {
		p.Trials = append(p.Trials, report.TrialRow{Date: s.Session.Date, What: strings.TrimPrefix(s.ShortName(), row.Code+", "), Errors: s.Errors, Most: s.Most})
	}
	p.JumpDate, p.Jumps, err = a.NewestJumps(ctx, row.Code)
	return p, err
}

func newAthleteReport() *cobra.Command {
	var ladder, html string
	cmd := &cobra.Command{
		Use: "report CODE -o PAGE.html", Short: "write an athlete's page: where they stand, what changed", Args: oneArg("athlete"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if html == "" {
				return wrong(cmd, "name the page with -o PAGE.html")
			}
			l, err := loadLadder(ladder)
			if err != nil {
				return err
			}
			return with(cmd, func(a *archive.Archive) error {
				at, err := a.Standing(cmd.Context(), l, args[0])
				if err != nil {
					return err
				}
				s, err := a.Squad(cmd.Context())
				if err != nil {
					return err
				}
				squad := report.SquadPage{Squad: s.Name, Invented: s.Invented, Made: time.Now(), Tool: "steadfall " + version}
				page, err := athletePage(cmd, a, l, squadRow(at), squad)
				if err != nil {
					return err
				}
				return writeOut(cmd, html, func(w io.Writer) error { return report.WriteAthlete(w, page) })
			})
		},
	}
	ladderFlag(cmd, &ladder)
	cmd.Flags().StringVarP(&html, "out", "o", "", "write the page (`PAGE.html`)")
	return cmd
}

func newSessionReport() *cobra.Command {
	var html string
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
			return with(cmd, func(a *archive.Archive) error {
				page, err := trialPage(cmd, a, id)
				if err != nil {
					return err
				}
				return writeOut(cmd, html, func(w io.Writer) error { return report.Write(w, page) })
			})
		},
	}
	cmd.Flags().StringVarP(&html, "out", "o", "", "write the report (`REPORT.html`)")
	return cmd
}

// trialPage is the report of a kept trial.
func trialPage(cmd *cobra.Command, a *archive.Archive, id int64) (report.Page, error) {
	ctx := cmd.Context()
	t, err := a.Trial(ctx, id)
	if err != nil {
		return report.Page{}, err
	}
	s, err := a.Squad(ctx)
	if err != nil {
		return report.Page{}, err
	}
	p := report.Page{Title: "Landing report: " + t.Athlete, Subtitle: t.Name() + ".", Made: time.Now(), Invented: s.Invented}
	if p.Result, err = a.Newest(ctx, id); err != nil {
		return p, err
	}
	pics, err := a.Pictures(ctx, id)
	for _, pic := range pics {
		p.Pictures = append(p.Pictures, report.Picture(pic))
	}
	return p, err
}
