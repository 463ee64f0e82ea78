package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"

	"steadfall/internal/archive"
	"steadfall/internal/testkit/desktest"
)

// deskUnderLoad uploads clips all at once and asks for pages until the last is scored, as
// coaches do meanwhile, and prints how long pages took.
func deskUnderLoad(ctx context.Context, w io.Writer, program, tmp string, clips int) error {
	clip, err := os.ReadFile(filepath.Join("testdata", "clips", "two_foot_knee_in_front.mp4"))
	if err != nil {
		return err
	}
	dir := filepath.Join(tmp, "squad")
	var codes []string
	for i := range clips {
		codes = append(codes, fmt.Sprintf("A%02d", i))
	}
	a, session, err := desktest.NewSquad(ctx, dir, codes...)
	if err != nil {
		return err
	}
	defer a.Close()
	server, err := desktest.Serve(program, "serve", "--archive", dir, "--listen", "127.0.0.1:0")
	if err != nil {
		return err
	}
	defer server.Kill()
	c := desktest.NewClient(server.URL)
	if err := c.Enter(ctx, server.First, "Reed", "long enough now"); err != nil {
		return err
	}
	begun := time.Now()
	var up errgroup.Group
	for i := range clips {
		up.Go(func() error {
			return c.Upload(ctx, map[string]string{
				"session": fmt.Sprint(session.ID), "athlete": codes[i], "key": fmt.Sprintf("upload-%02d", i),
				"task": "drop-landing", "limb": "both", "view": "front", "wants": "front",
			}, desktest.Another(clip, i))
		})
	}
	uploaded := make(chan error, 1)
	go func() { uploaded <- up.Wait() }()
	pages := []string{"/", "/session/1", "/session/1/queue", "/athlete/A00", "/sessions", "/audit"}
	var took []time.Duration
	states := map[archive.TakeState]int{}
	for n := 0; ; n++ {
		at := time.Now()
		status, _, _, err := c.Do(ctx, http.MethodGet, pages[n%len(pages)], nil, nil)
		if err != nil {
			return err
		}
		if status != http.StatusOK {
			return fmt.Errorf("%s answered %d", pages[n%len(pages)], status)
		}
		took = append(took, time.Since(at))
		time.Sleep(50 * time.Millisecond) // about as fast as twenty people tap
		takes, err := a.Takes(ctx, session.ID)
		if err != nil {
			return err
		}
		clear(states)
		for _, t := range takes {
			states[t.State]++
		}
		if done := states[archive.ScoredOK] + states[archive.NeedsLook] + states[archive.Refused]; done == clips {
			break
		}
		if time.Since(begun) > 20*time.Minute {
			return errors.New("the clips were not scored in 20 minutes")
		}
	}
	if err := <-uploaded; err != nil {
		return err
	}
	fmt.Fprintf(w, "%d clips of 1080p at once: all up, %d scored, %d scored and in need of a look, %d refused, in %.0f s.\n",
		clips, states[archive.ScoredOK], states[archive.NeedsLook], states[archive.Refused], time.Since(begun).Seconds())
	fmt.Fprintf(w, "Meanwhile %d pages took %s.\n", len(took), spreadOf(took))
	took = nil
	for n := 0; ; n++ { // a thumb on the scrubber, as fast as it can
		at := time.Now()
		status, _, _, err := c.Do(ctx, http.MethodGet, fmt.Sprintf("/trial/1/frame/front/%d", n), nil, nil)
		if err != nil {
			return err
		}
		if status == http.StatusNotFound {
			break // the end of the clip
		}
		took = append(took, time.Since(at))
	}
	if len(took) < 2 {
		return errors.New("the desk shows no frames")
	}
	fmt.Fprintf(w, "The first frame of a clip took %v, its other %d %s.\n", took[0].Round(time.Millisecond), len(took)-1, spreadOf(took[1:]))
	return nil
}

// spreadOf says how long things took, from the middle to the longest.
func spreadOf(took []time.Duration) string {
	slices.Sort(took)
	at := func(share float64) time.Duration {
		return took[min(int(share*float64(len(took))), len(took)-1)].Round(time.Millisecond)
	}
	return fmt.Sprintf("%v at the median, %v at the 95th percentile, %v at most", at(0.5), at(0.95), at(1))
}
