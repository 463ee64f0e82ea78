//go:build cgo

package video

import (
	"context"

	"steadfall/kinematics"
	"steadfall/video/clip"
	"steadfall/video/track"
)

// Track carries the placed points through the clip. Between two frames on which
// a landmark is placed it is followed forward from the first and backward from
// the second; the track is the path that best fits all placements and the flow
// between them. A landmark that was never placed is not in the track.
func Track(ctx context.Context, path string, pl Placements, tell Progress) (kinematics.Track, Footage, error) {
	f, frozen, footage, err := follow(ctx, path, pl, tell)
	if err != nil {
		return kinematics.Track{}, footage, err
	}
	t := f.Track(frozen)
	return t, footage, t.Check()
}

// follow goes through the clip. The decoder and the pictures are let go before the track is
// made, so that a long one does not need its memory beside theirs.
func follow(ctx context.Context, path string, pl Placements, tell Progress) (*track.Follower, []bool, Footage, error) {
	film, err := clip.Open(path)
	if err != nil {
		return nil, nil, Footage{}, err
	}
	defer film.Close()
	if err := pl.Check(film.Width, film.Height, 0); err != nil {
		return nil, nil, Footage{}, err
	}
	f := track.NewFollower(pl, film.Width, film.Height)
	defer f.Close()
	times, frozen, err := stream(ctx, film, f.Area, f.Shrink, tell, func(s frame) { f.Next(s.tracked()) })
	if err != nil {
		return nil, nil, Footage{}, err
	}
	return f, frozen, Footage{film.Info, film.Losses(), freezes(frozen, times)}, pl.Check(film.Width, film.Height, len(times))
}
