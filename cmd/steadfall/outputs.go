package main

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/paper"
	"steadfall/internal/safefile"
	"steadfall/report/landing"
	"steadfall/report/locale"
)

// outputs are the files that a score is written to; empty for none.
type outputs struct {
	report, sheet, json string
	locale              locale.Locale
}

// check refuses outputs that could not be written.
func (o outputs) check(cmd *cobra.Command) error {
	return cmp.Or(checkOut(cmd, "-o", o.report, aPage), checkOut(cmd, "--sheet", o.sheet, aPage), checkOut(cmd, "--json", o.json, aJSON))
}

// numbered are the files of one of several landings.
func (o outputs) numbered(n int) outputs {
	return outputs{numbered(o.report, n), numbered(o.sheet, n), numbered(o.json, n), o.locale}
}

// numbered puts a number before the ending of a file name: report-2.html.
func numbered(name string, n int) string {
	if name == "" {
		return ""
	}
	ext := filepath.Ext(name)
	return fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), n, ext)
}

// kind is a kind of file that commands write: what it is called and the endings that say so.
type kind struct {
	what    string
	endings []string
	dash    bool // - writes it to standard output
}

var (
	aPage      = kind{"a page", []string{".html", ".htm", ".pdf"}, false}
	pageOrDash = kind{aPage.what, aPage.endings, true}
	aTable     = kind{"a table", []string{".csv"}, true}
	aTrack     = kind{"a track", []string{".csv"}, true}
	aJSON      = kind{"a result", []string{".json"}, true}
)

// checkOut refuses a file that could not be written, before anything is read for it: its
// ending says another kind, its folder is not there, or nothing here prints it. No name is
// no file.
func checkOut(cmd *cobra.Command, flag, name string, k kind) error {
	if name == "" || name == "-" && k.dash {
		return nil
	}
	if err := archive.NotOwn(name); err != nil {
		return err
	}
	ext := strings.ToLower(filepath.Ext(name))
	if !slices.Contains(k.endings, ext) {
		return wrong(cmd, "%s is written to a file that ends in %s, not %q; say %s %s", k.what, orList(k.endings), name, flag, renamed(name, k.endings[0]))
	}
	if ext == ".pdf" {
		if _, err := paper.Printer(); err != nil {
			return err
		}
	}
	return safefile.Check(name)
}

// renamed is a name with another ending.
func renamed(name, ending string) string {
	stem := strings.TrimSuffix(name, filepath.Ext(name))
	if base := filepath.Base(stem); stem == "" || base == "-" || base == "." || base == ".." {
		stem = "page"
	}
	return stem + ending
}

// writeOut writes a file whole, or to standard output for -; nothing for no name.
func writeOut(cmd *cobra.Command, name string, write func(io.Writer) error) error {
	switch name {
	case "":
		return nil
	case "-":
		return write(cmd.OutOrStdout())
	}
	if err := writeQuietly(cmd.Context(), name, write); err != nil {
		return err
	}
	wrote(cmd, name)
	return nil
}

// writeQuietly writes a file whole or not at all; a page whose name ends in .pdf is printed.
func writeQuietly(ctx context.Context, name string, write func(io.Writer) error) error {
	if err := archive.NotOwn(name); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	data := b.Bytes()
	if strings.EqualFold(filepath.Ext(name), ".pdf") {
		var err error
		if data, err = paper.Print(ctx, data); err != nil {
			return err
		}
	}
	return safefile.Write(name, data)
}

func writeReport(cmd *cobra.Command, name string, p landing.Page) error {
	return writeOut(cmd, name, func(w io.Writer) error { return landing.Write(w, p) })
}
