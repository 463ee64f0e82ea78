package video_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"steadfall/video"
)

// The clip of these benchmarks: 1080 × 1920 px, 60 frames a second, 4.6 s.
const benchClip = "two_foot_knee_in_front"

// Every frame read, made small and packed.
func BenchmarkFrames(b *testing.B) {
	for b.Loop() {
		if err := video.Frames(context.Background(), filepath.Join(clips, benchClip+".mp4"), 960, func(int, []byte) error { return nil }); err != nil {
			b.Fatal(err)
		}
	}
}

// Points placed by hand on five frames, followed through the clip.
func BenchmarkTrack(b *testing.B) {
	f, err := os.Open(filepath.Join("../testdata/placements", benchClip+".json"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	pl, err := video.ReadPlacements(f)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, _, err := video.Track(context.Background(), filepath.Join(clips, benchClip+".mp4"), pl, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// The net's points on the same clip.
func BenchmarkPlace(b *testing.B) {
	n := nets(b)
	for b.Loop() {
		if _, _, err := video.Place(context.Background(), filepath.Join(clips, benchClip+".mp4"), n, video.Placements{}, nil); err != nil {
			b.Fatal(err)
		}
	}
}
