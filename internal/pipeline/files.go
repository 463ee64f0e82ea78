package pipeline

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"steadfall/internal/bounded"
	"steadfall/kinematics"
	"steadfall/video"
)

// Files name what one view is measured from; empty for none.
type Files struct{ Clip, Placements, Track string }

// Given reports whether there is something to measure.
func (f Files) Given() bool { return f.Clip != "" || f.Track != "" }

// All are the names that are given.
func (f Files) All() []string {
	return slices.DeleteFunc([]string{f.Clip, f.Placements, f.Track}, func(name string) bool { return name == "" })
}

// Read reads the placements and the track. The clip is read by the pipeline.
func (f Files) Read(front bool) (Source, error) {
	s := Source{Clip: f.Clip}
	if f.Placements != "" {
		pl, err := readPlacements(f.Placements)
		if err != nil {
			return s, err
		}
		s.Placements = &Placements{f.Placements, pl}
	}
	if f.Track != "" {
		t, err := readTrack(f.Track, front)
		if err != nil {
			return s, err
		}
		s.Track = &Track{f.Track, View{Track: t, Points: "read from the track " + filepath.Base(f.Track)}}
	}
	return s, nil
}

func readPlacements(name string) (video.Placements, error) {
	f, err := os.Open(name)
	if err != nil {
		return video.Placements{}, fmt.Errorf("the placements %q cannot be read; check the name and the folder", name)
	}
	defer f.Close()
	pl, err := video.ReadPlacements(f)
	if err != nil {
		return pl, fmt.Errorf("placements %q: %w", name, err)
	}
	return pl, nil
}

// readTrack reads a track file. A side view's near side is told by where the toes point: an
// athlete who looks to the right of the picture shows the right side.
func readTrack(name string, front bool) (kinematics.Track, error) {
	f, err := os.Open(name)
	if err != nil {
		return kinematics.Track{}, fmt.Errorf("the track %q cannot be read; check the name and the folder", name)
	}
	defer f.Close()
	t, err := kinematics.ReadTrack(bounded.Table(f), kinematics.Front)
	if err != nil {
		return t, fmt.Errorf("track %q: %w", name, err)
	}
	if !front {
		if t.View, err = kinematics.FacingView(t); err != nil {
			return t, fmt.Errorf("track %q: %w", name, err)
		}
	}
	return t, nil
}
