package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/beside"
	"steadfall/internal/demo"
	"steadfall/internal/present"
	"steadfall/internal/safefile"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/landing"
	"steadfall/report/locale"
	"steadfall/report/physio"
	"steadfall/report/sheet"
	"steadfall/report/squad"
	"steadfall/scoring"
)

func newDemo() *cobra.Command {
	var dir string
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "score an invented squad and write its reports",
		Args:  noArgs,
		RunE:  func(cmd *cobra.Command, _ []string) error { return runDemo(cmd, dir) },
	}
	cmd.Flags().StringVar(&dir, "dir", "demo-reports", "`FOLDER` the reports go into")
	return cmd
}

func runDemo(cmd *cobra.Command, dir string) error {
	if err := beside.ReadClips(); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the folder %q cannot be made; choose another with --dir", dir)
	}
	fmt.Fprintf(cmd.OutOrStdout(), "%s. Clips are rendered, nobody in them is real.\n\n", demo.Squad)
	l, err := loadLadder(scoring.DefaultLadder)
	if err != nil {
		return err
	}
	a, err := demo.Create(cmd.Context(), demo.Folder(dir))
	if err != nil {
		return err
	}
	defer a.Close()
	if err := demo.Fill(cmd.Context(), a, l, "steadfall "+version, teller(cmd)); err != nil {
		return err
	}
	if err := scoreDemo(cmd, a, dir); err != nil {
		return err
	}
	if err := squadOfDemo(cmd, a, l, dir); err != nil {
		return err
	}
	sayDemo(cmd.OutOrStdout(), dir)
	return nil
}

// scoreDemo scores and keeps the clip of each athlete, and writes its report.
func scoreDemo(cmd *cobra.Command, a *archive.Archive, dir string) error {
	tmp, err := safefile.TempDir("steadfall-demo-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	out, tell, run := cmd.OutOrStdout(), teller(cmd), runner(cmd)
	for _, who := range demo.Athletes {
		r, err := who.Unpack(tmp)
		if err != nil {
			return err
		}
		r.Tool, r.Tell = "steadfall "+version, tell
		all, err := run(cmd.Context(), r)
		if err != nil {
			return fmt.Errorf("%s: %w", who.Name, err)
		}
		o := all[0] // each clip holds one landing
		if err := demo.Keep(cmd.Context(), a, who, r, o); err != nil {
			return err
		}
		name := filepath.Join(dir, strings.ToLower(who.Name)+".html")
		page := landing.Page{
			About: report.About{Made: time.Now(), Invented: true}, Who: who.Name, Subtitle: scoring.Sentence{Words: "%s. Task: %s.", Args: []any{demo.Squad, locale.TaskWords(who.Task, kinematics.Both)}},
			Result: o.Result, Pictures: o.Pictures,
		}
		if err := writeReport(cmd, name, page); err != nil {
			return err
		}
		fmt.Fprintf(out, "%s, %s\n", who.Name, who.Task)
		printScore(out, o.Result.Score)
		fmt.Fprintf(out, "  report: %s\n\n", name)
	}
	return nil
}

// squadOfDemo writes the pages of the squad and of its athletes.
func squadOfDemo(cmd *cobra.Command, a *archive.Archive, l scoring.Ladder, dir string) error {
	p, _, err := present.Squad(cmd.Context(), a, l, "steadfall "+version)
	if err != nil {
		return err
	}
	if err := athletePages(cmd, a, l, p, dir); err != nil {
		return err
	}
	if err := writeOut(cmd, filepath.Join(dir, "squad.html"), func(w io.Writer) error { return squad.Write(w, p) }); err != nil {
		return err
	}
	if err := writeOut(cmd, filepath.Join(dir, "wall.html"), func(w io.Writer) error { return squad.WriteWall(w, p) }); err != nil {
		return err
	}
	if err := pagesFor(cmd, a, l, dir); err != nil {
		return err
	}
	return printSquad(cmd.OutOrStdout(), p.Rows)
}

// sayDemo says where everything is, and what to open first.
func sayDemo(out io.Writer, dir string) {
	fmt.Fprintf(out, "\nThe squad's archive: %s (steadfall squad --archive %s)\n", demo.Folder(dir), demo.Folder(dir))
	fmt.Fprintln(out, "Open these first, for coach, physio and athlete, and for the wall:")
	for _, page := range []string{"squad.html", "physio-birch.html", "sheet-elm.html", "wall.html"} {
		fmt.Fprintln(out, "  "+abs(filepath.Join(dir, page)))
	}
}

// pagesFor writes a page for the physio, of Birch's newest day, and one for the athlete, of
// the last trial of Elm that has pictures.
func pagesFor(cmd *cobra.Command, a *archive.Archive, l scoring.Ladder, dir string) error {
	ctx, tool := cmd.Context(), "steadfall "+version
	numbers, err := present.Physio(ctx, a, "Birch", present.Day{}, tool, nil, nil)
	if err != nil {
		return err
	}
	if err := writeOut(cmd, filepath.Join(dir, "physio-birch.html"), func(w io.Writer) error { return physio.Write(w, numbers) }); err != nil {
		return err
	}
	trials, err := a.Trials(ctx, "Elm", 0)
	if err != nil {
		return err
	}
	for _, t := range slices.Backward(trials) {
		pictures, err := a.Pictures(ctx, t.ID)
		if err != nil {
			return err
		}
		if len(pictures) == 0 {
			continue
		}
		page, err := present.Sheet(ctx, a, l, t.ID, tool)
		if err != nil {
			return err
		}
		return writeOut(cmd, filepath.Join(dir, "sheet-elm.html"), func(w io.Writer) error { return sheet.Write(w, page) })
	}
	return nil
}

// abs is the whole path of a file, or what was given where there is none.
func abs(name string) string {
	if whole, err := filepath.Abs(name); err == nil {
		return whole
	}
	return name
}
