package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"steadfall/internal/demo"
	"steadfall/internal/trial"
	"steadfall/report"
)

func newDemo() *cobra.Command {
	var dir string
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "score an invented squad and write its reports",
		Args:  noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := os.MkdirAll(dir, 0o755); err != nil {
				return fmt.Errorf("the folder %q cannot be made; choose another with --dir", dir)
			}
			tmp, err := os.MkdirTemp("", "steadfall-demo-")
			if err != nil {
				return fmt.Errorf("no temporary folder can be made (is the disk full?)")
			}
			defer os.RemoveAll(tmp)
			out := cmd.OutOrStdout()
			fmt.Fprintf(out, "%s. Clips are rendered, nobody in them is real.\n\n", demo.Squad)
			last := ""
			for _, a := range demo.Athletes {
				r, err := a.Unpack(tmp)
				if err != nil {
					return err
				}
				r.Tool, r.Tell = "steadfall "+version, teller(cmd.ErrOrStderr())
				all, err := trial.Score(cmd.Context(), r)
				if err != nil {
					return fmt.Errorf("%s: %w", a.Name, err)
				}
				o := all[0] // each clip holds one landing
				name := filepath.Join(dir, strings.ToLower(a.Name)+".html")
				page := report.Page{
					Title: "Landing report: " + a.Name, Subtitle: demo.Squad + ". Task: " + string(a.Task) + ".",
					Made: time.Now(), Invented: true, Result: o.Result, Pictures: o.Pictures,
				}
				if err := writeReport(name, page); err != nil {
					return err
				}
				fmt.Fprintf(out, "%s, %s\n", a.Name, a.Task)
				printScore(out, o.Result.Score)
				fmt.Fprintf(out, "  report: %s\n\n", name)
				if a.Name == "Birch" {
					last = name
				}
			}
			abs, err := filepath.Abs(last)
			if err != nil {
				abs = last
			}
			fmt.Fprintf(out, "Open this one first: %s\n", abs)
			return nil
		},
	}
	cmd.Flags().StringVar(&dir, "dir", "demo-reports", "`FOLDER` the reports go into")
	return cmd
}
