//go:build cgo

package draw

import (
	"context"
	"math"
	"slices"

	"steadfall/kinematics"
	"steadfall/video/clip"
)

// seeker goes to some frames of a clip, in order. Where the next one is far it jumps to shortly
// before it. A container does not know the number of the frame it lands on, so that is told by the
// times that a track of the clip gives its frames; where they do not agree, as in slow motion,
// frames are counted from the beginning.
type seeker struct {
	film  *clip.Film
	track kinematics.Track
	next  int  // number of the frame that comes next
	count bool // from the beginning, without jumping
}

// A jump saves little over fewer frames than far. It ends lead frames before the one that is
// wanted, so that as many times must agree; the track has them to the microsecond.
const (
	seekFar   = 48
	seekLead  = 24
	sameTimeS = 1e-4
)

func newSeeker(path string, t kinematics.Track) (*seeker, error) {
	film, err := clip.Open(path)
	return &seeker{film: film, track: t}, err
}

func (s *seeker) close() { s.film.Close() }

// to is frame n, which is not before the next one. It returns io.EOF where the clip is shorter.
func (s *seeker) to(ctx context.Context, n int) (clip.Picture, error) {
	if !s.count && n-s.next > seekFar {
		if err := s.jump(n); err != nil {
			return clip.Picture{}, err
		}
	}
	for ; s.next < n; s.next++ {
		if err := ctx.Err(); err != nil {
			return clip.Picture{}, err
		}
		if _, err := s.film.Next(); err != nil {
			return clip.Picture{}, err
		}
	}
	s.next++
	return s.film.Next()
}

// jump makes n the frame that comes next. Where the track does not show that it is, the clip
// stands at its beginning again.
func (s *seeker) jump(n int) error {
	i, ok := slices.BinarySearch(s.track.Frame, n)
	if !ok || i < seekLead {
		return nil // nothing is known of the frames before
	}
	if !s.film.Seek(s.track.TimeS[i-seekLead]) {
		return nil
	}
	if s.follow(i) {
		s.next = n
		return nil
	}
	path := s.film.Path
	s.close()
	film, err := clip.Open(path)
	if err != nil {
		return err
	}
	s.film, s.next, s.count = film, 0, true
	return nil
}

// follow passes over the frames before sample i of the track and reports whether the clip
// gives them the times of the samples before it, one by one, for half the lead at least.
func (s *seeker) follow(i int) bool {
	p, err := s.film.Next()
	k := slices.IndexFunc(s.track.TimeS[:i], func(t float64) bool { return math.Abs(t-p.TimeS) < sameTimeS })
	if err != nil || k < 0 || i-k < seekLead/2 {
		return false
	}
	for k++; k < i; k++ {
		if p, err = s.film.Next(); err != nil || math.Abs(s.track.TimeS[k]-p.TimeS) >= sameTimeS {
			return false
		}
	}
	return true
}
