package main

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"strconv"
	"strings"

	"steadfall/internal/pipeline"
	"steadfall/internal/worker"
)

// counts of what is held, over all clips.
const counts = 10

// held is what a process has not given back.
type held struct{ goroutines, handles, heapMB, memoryMB int }

func (h held) String() string {
	return fmt.Sprintf("%10d  %7d  %10d  %9d", h.goroutines, h.handles, h.heapMB, h.memoryMB)
}

func holding() (held, error) {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	handles, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		return held{}, err
	}
	statm, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		return held{}, err
	}
	pages, err := strconv.Atoi(strings.Fields(string(statm))[1])
	if err != nil {
		return held{}, err
	}
	return held{runtime.NumGoroutine(), len(handles) - 1, int(m.HeapAlloc >> 20), pages * os.Getpagesize() >> 20}, nil
}

// steadiness scores clip after clip, each in this process and in a worker's child, and
// prints what the process holds in between. Goroutines and handles must not grow; memory is
// for a person to read: FFmpeg and the allocators keep what they were given back, and the
// pictures that OpenCV holds are counted by make leaks.
func steadiness(ctx context.Context, program, dir string, n int) error {
	// Each kind is read twice before the first count: OpenCV and FFmpeg keep what they load.
	if least := 2 * len(kinds) * counts; n < least {
		return fmt.Errorf("%d clips are too few to see a growth; give %d or more", n, least)
	}
	_, file, err := smallLandings(dir)
	if err != nil {
		return err
	}
	placements, err := placed(file)
	if err != nil {
		return err
	}
	w := worker.Worker{Command: []string{program, "worker"}, Wall: perClip}
	fmt.Println("clips  goroutines  handles  Go heap MB  memory MB")
	var first, last held
	for i := range n {
		r := request(clipFile(dir, i%len(kinds)), placements, i)
		if _, err := pipeline.Run(ctx, r); err != nil {
			return err
		}
		if _, err := w.Score(ctx, r); err != nil {
			return err
		}
		fmt.Fprintf(os.Stderr, "\r%d clips ", i+1)
		if (i+1)%(n/counts) > 0 {
			continue
		}
		if last, err = holding(); err != nil {
			return err
		}
		if i+1 == n/counts {
			first = last
		}
		fmt.Fprint(os.Stderr, "\r")
		fmt.Printf("%5d  %s\n", i+1, last)
	}
	if last.goroutines > first.goroutines || last.handles > first.handles {
		return fmt.Errorf("after %d clips more goroutines or handles are held than after %d", n, n/counts)
	}
	return nil
}
