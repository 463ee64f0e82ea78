package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"text/tabwriter"
	"time"

	"steadfall/internal/archive"
	"steadfall/internal/intake"
	"steadfall/internal/pipeline"
	"steadfall/internal/rescore"
	"steadfall/internal/season"
	"steadfall/internal/standing"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// wholeSeason imports an invented season from tracks, then times the squad page's query and
// the scoring of everything by another checklist; and again in archives of growing size.
func wholeSeason(ctx context.Context, w io.Writer, athletes, sessions int) error {
	tmp, err := os.MkdirTemp("", "steadfall-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	l, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		return err
	}
	s := season.Season{Athletes: athletes, First: time.Date(2026, 8, 8, 0, 0, 0, 0, time.UTC), FPS: 60}
	a, err := archive.Create(ctx, filepath.Join(tmp, "squad"), archive.Squad{Name: "bench", Invented: true})
	if err != nil {
		return err
	}
	defer a.Close()
	if _, err := a.Put(ctx, s.People()...); err != nil {
		return err
	}
	start, kept := time.Now(), 0
	for n := range sessions {
		k, err := importDay(ctx, a, s, n, filepath.Join(tmp, "tracks"))
		if err != nil {
			return err
		}
		kept += k
	}
	took := time.Since(start)
	fmt.Fprintf(w, "%d athletes, %d sessions: %d trials imported from tracks in %.0f s, %.0f a second.\n", athletes, sessions, kept, took.Seconds(), float64(kept)/took.Seconds())
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "trials\tsquad query, median of 9\tall by another checklist\tmegabytes")
	if err := timeArchive(ctx, t, a, l, filepath.Join(tmp, "squad")); err != nil {
		return err
	}
	// Copies of the season's trials, so that growth is not measured on measuring.
	pool, err := a.Trials(ctx, "", 0)
	if err != nil {
		return err
	}
	for _, size := range []int{1000, 3000, 10000} {
		dir := filepath.Join(tmp, fmt.Sprint("grown-", size))
		if err := grown(ctx, a, s, pool[:min(len(pool), 480)], size, dir, t, l); err != nil {
			return err
		}
		os.RemoveAll(dir)
	}
	return t.Flush()
}

// importDay writes the tracks of one session and imports them.
func importDay(ctx context.Context, a *archive.Archive, s season.Season, n int, dir string) (int, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return 0, err
	}
	defer os.RemoveAll(dir)
	for i := range s.Athletes {
		if _, err := s.Write(dir, i, n, season.Fixed); err != nil {
			return 0, err
		}
	}
	day, err := a.EnsureSession(ctx, archive.Session{Date: s.Date(n)})
	if err != nil {
		return 0, err
	}
	im := intake.Import{
		Archive: a, Session: day, Folder: dir, Patterns: intake.Usual(),
		Usual: pipeline.Request{Task: kinematics.DropLanding, Limb: kinematics.Both, SquareDeg: season.SquareDeg, Picture: season.Picture, Tool: "bench"},
	}
	done, err := im.Run(ctx)
	if err == nil && len(done.Failed) > 0 {
		err = fmt.Errorf("%d trials failed, such as %s", len(done.Failed), done.Failed[0])
	}
	return done.Kept, err
}

// timeArchive prints the squad query's median time and that of one rescoring.
func timeArchive(ctx context.Context, t io.Writer, a *archive.Archive, l scoring.Ladder, dir string) error {
	trials, err := a.Trials(ctx, "", 0)
	if err != nil {
		return err
	}
	var times []time.Duration
	for range 9 {
		start := time.Now()
		if _, err := standing.All(ctx, a, l); err != nil {
			return err
		}
		times = append(times, time.Since(start))
	}
	slices.Sort(times)
	start := time.Now()
	other := func(int) (scoring.Checklist, error) { return scoring.Load("padua-2009") }
	if _, err := rescore.All(ctx, a, other, "bench", nil); err != nil {
		return err
	}
	took := time.Since(start)
	st, err := os.Stat(filepath.Join(dir, "squad.db"))
	if err != nil {
		return err
	}
	fmt.Fprintf(t, "%d\t%.0f ms\t%.1f s\t%d\n", len(trials), 1000*times[4].Seconds(), took.Seconds(), st.Size()>>20)
	return nil
}

// grown fills an archive with copies of a pool of trials and times it.
func grown(ctx context.Context, from *archive.Archive, s season.Season, pool []archive.Trial, size int, dir string, t io.Writer, l scoring.Ladder) error {
	a, err := archive.Create(ctx, dir, archive.Squad{Name: "bench", Invented: true})
	if err != nil {
		return err
	}
	defer a.Close()
	people := s.People()
	if _, err := a.Put(ctx, people...); err != nil {
		return err
	}
	var copies []archive.Recording
	for _, p := range pool {
		views, err := from.Views(ctx, p.ID)
		if err != nil {
			return err
		}
		results, err := from.Results(ctx, p.ID)
		if err != nil {
			return err
		}
		list, err := scoring.Load(results[0].Result.Score.Checklist)
		if err != nil {
			return err
		}
		copies = append(copies, archive.Recording{Trial: p, Views: views, Result: results[0].Result, Checklist: list})
	}
	perDay := len(copies)
	for day := 0; day*perDay < size; day++ {
		session, err := a.EnsureSession(ctx, archive.Session{Date: s.Date(day)})
		if err != nil {
			return err
		}
		batch := slices.Clone(copies[:min(perDay, size-day*perDay)])
		for i := range batch {
			batch[i].Trial.Session = session
		}
		if _, err := a.Add(ctx, batch...); err != nil {
			return err
		}
	}
	return timeArchive(ctx, t, a, l, dir)
}
