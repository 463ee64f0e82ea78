//go:build cgo

package video

import (
	"context"
	"math"
	"slices"

	"gocv.io/x/gocv"

	"steadfall/kinematics"
)

// spool goes to some frames of a clip, in order. Where the next one is far it jumps to shortly
// before it. OpenCV only guesses the number of the frame it lands on, so that is told by the
// times that a track of the clip gives its frames; where they do not agree, as in slow motion,
// frames are counted from the beginning.
type spool struct {
	clip  *Clip
	track kinematics.Track
	next  int  // number of the frame that comes next
	count bool // from the beginning, without jumping
}

// A jump saves little over fewer frames than far. It ends lead frames before the one that is
// wanted, so that as many times must agree; the track has them to the microsecond.
const (
	spoolFar  = 120
	spoolLead = 24
	sameTimeS = 1e-4
)

func newSpool(path string, t kinematics.Track) (*spool, error) {
	clip, err := Open(path)
	return &spool{clip: clip, track: t}, err
}

func (s *spool) close() { s.clip.Close() }

// to puts frame n, which is not before the next one, into m. It returns errEnd where the clip
// is shorter.
func (s *spool) to(ctx context.Context, n int, m *gocv.Mat) error {
	if !s.count && n-s.next > spoolFar {
		if err := s.jump(n); err != nil {
			return err
		}
	}
	for ; s.next < n; s.next++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		if _, err := s.clip.skip(); err != nil {
			return err
		}
	}
	s.next++
	_, err := s.clip.next(m)
	return err
}

// jump makes n the frame that comes next. Where the track does not show that it is, the clip
// stands at its beginning again.
func (s *spool) jump(n int) error {
	i, ok := slices.BinarySearch(s.track.Frame, n)
	if !ok || i < spoolLead {
		return nil // nothing is known of the frames before
	}
	s.clip.seek(s.track.TimeS[i-spoolLead])
	if s.follow(i) {
		s.next = n
		return nil
	}
	path := s.clip.Path
	s.close()
	clip, err := Open(path)
	if err != nil {
		return err
	}
	s.clip, s.next, s.count = clip, 0, true
	return nil
}

// follow passes over the frames before sample i of the track and reports whether the clip
// gives them the times of the samples before it, one by one, for half the lead at least.
func (s *spool) follow(i int) bool {
	stamp, err := s.clip.skip()
	k := slices.IndexFunc(s.track.TimeS[:i], func(t float64) bool { return math.Abs(t-stamp.TimeS) < sameTimeS })
	if err != nil || k < 0 || i-k < spoolLead/2 {
		return false
	}
	for k++; k < i; k++ {
		if stamp, err = s.clip.skip(); err != nil || math.Abs(s.track.TimeS[k]-stamp.TimeS) >= sameTimeS {
			return false
		}
	}
	return true
}
