package main

import (
	"fmt"
	"os"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/bounded"
	"steadfall/scoring"
)

// archiveHome names the archive where --archive does not.
const archiveHome = "STEADFALL_ARCHIVE"

// archiveFlag adds the flag that says which archive a command works on.
func archiveFlag(cmd *cobra.Command) {
	cmd.PersistentFlags().String("archive", os.Getenv(archiveHome), "`FOLDER` of the squad's archive (default $"+archiveHome+")")
}

// archiveDir is the folder that the flag names.
func archiveDir(cmd *cobra.Command) (string, error) {
	dir, err := cmd.Flags().GetString("archive")
	if err == nil && dir == "" {
		err = wrong(cmd, "say which archive with --archive FOLDER or $%s", archiveHome)
	}
	return dir, err
}

// with runs f on the archive that the flag names.
func with(cmd *cobra.Command, f func(a *archive.Archive) error) error {
	dir, err := archiveDir(cmd)
	if err != nil {
		return err
	}
	a, err := archive.Open(cmd.Context(), dir)
	if err != nil {
		return err
	}
	defer a.Close()
	return f(a)
}

// sessionFlags are the flags that name a session.
func sessionFlags(cmd *cobra.Command, s *archive.Session) {
	cmd.Flags().StringVar(&s.Date, "date", today(), "`DATE` of the session, YYYY-MM-DD")
	cmd.Flags().StringVar(&s.Title, "title", "", "`TITLE`, where there are several on the date")
}

// today is the date now, as dates are written.
func today() string { return time.Now().Format(time.DateOnly) }

// trialNumber reads the number of a kept trial.
func trialNumber(cmd *cobra.Command, word string) (int64, error) {
	id, err := strconv.ParseInt(word, 10, 64)
	if err != nil {
		return 0, wrong(cmd, "%q is not the number of a trial; see steadfall session show", word)
	}
	return id, nil
}

// ladderFlag adds the flag that names the ladder.
func ladderFlag(cmd *cobra.Command, name *string) {
	cmd.Flags().StringVar(name, "ladder", scoring.DefaultLadder, "bundled `NAME` or a .yaml file")
}

// loadLadder reads a bundled ladder by name, or a file when the name ends in .yaml or .yml.
func loadLadder(name string) (scoring.Ladder, error) {
	return bounded.Named(name, "the ladder", scoring.LoadLadder, scoring.ParseLadder)
}

// readResults reads result files of this version.
func readResults(names []string) ([]scoring.Result, error) {
	var out []scoring.Result
	for _, name := range names {
		data, err := bounded.ReadFile(name, bounded.MostJSON, "the result")
		if err != nil {
			return nil, err
		}
		r, err := scoring.ParseResult(data)
		if err != nil {
			return nil, fmt.Errorf("%q %w", name, err)
		}
		out = append(out, r)
	}
	return out, nil
}
