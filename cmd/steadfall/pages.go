package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/present"
	"steadfall/report/athlete"
	"steadfall/report/squad"
	"steadfall/scoring"
)

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
