package track

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/flow"
)

// sheet is a picture whose whole plane has moved by at since the first: what is followed on it goes
// exactly where it went.
type sheet struct {
	at     r2.Vec
	closed *int // counts those that were let go
}

func (s sheet) Follow(next flow.Picture, from, _ []r2.Vec, _, _ int) (to []r2.Vec, ok []bool, texture []float64) {
	d := r2.Sub(next.(sheet).at, s.at)
	for _, p := range from {
		to, ok, texture = append(to, r2.Add(p, d)), append(ok, true), append(texture, 1)
	}
	return to, ok, texture
}

func (s sheet) Clone() flow.Picture { *s.closed--; return s }
func (s sheet) Close()              { *s.closed++ }

// fall is how far the sheet has gone by frame n: at rest, then falling, then at rest.
func fall(n int) r2.Vec {
	k := min(max(float64(n-30)/20, 0), 1)
	return r2.Vec{X: 3 * k, Y: 60 * k * k}
}

// Points that were placed on three frames are followed to where they went, frame by frame, over a damaged
// picture, from the front and from the side, where not all landmarks are placed. Every picture is let go,
// and a frozen one has no points.
func TestFollowerFollowsWhatMoves(t *testing.T) {
	const frames, damaged, frozen = 80, 60, 65
	for _, view := range []kinematics.View{kinematics.Front, kinematics.SideLeft, kinematics.SideRight} {
		start := map[kinematics.Landmark]r2.Vec{}
		for part, at := range map[kinematics.Part]r2.Vec{
			kinematics.Shoulder: {X: 200, Y: 100}, kinematics.Hip: {X: 205, Y: 190}, kinematics.Knee: {X: 210, Y: 270},
			kinematics.Ankle: {X: 200, Y: 345}, kinematics.Heel: {X: 190, Y: 360}, kinematics.Toe: {X: 230, Y: 360},
		} {
			for k, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
				if view == kinematics.Front || side == view.Near() {
					start[kinematics.On(side, part)] = r2.Vec{X: at.X + 60*float64(k), Y: at.Y}
				}
			}
		}
		pl := Placements{View: view}
		for _, n := range []int{0, 55, 70} {
			for l, at := range start {
				q := r2.Add(at, fall(n))
				pl.Put(n, l, kinematics.Point{X: q.X, Y: q.Y, SD: 1})
			}
		}
		closed := 0
		f := NewFollower(pl, 480, 640)
		for n := range frames {
			next := Frame{Number: n, TimeS: float64(n) / 60}
			if n != damaged {
				next.Grey = sheet{fall(n), &closed}
			}
			f.Next(next)
		}
		f.Close()
		if closed != frames-1 {
			t.Errorf("%s: %d pictures were let go of %d", view, closed, frames-1)
		}
		cold := make([]bool, frames)
		cold[frozen] = true
		tr := f.Track(cold)
		for l, points := range tr.Points {
			for n, q := range points {
				at, placed := start[l]
				if want := r2.Add(at, fall(n)); q.Seen() != (placed && n != frozen) {
					t.Errorf("%s, %s, frame %d: seen is %v", view, l, n, q.Seen())
				} else if q.Seen() && math.Hypot(q.X-want.X, q.Y-want.Y) > 0.01 {
					t.Errorf("%s, %s, frame %d: (%.2f, %.2f), want (%.2f, %.2f)", view, l, n, q.X, q.Y, want.X, want.Y)
				}
			}
		}
	}
}
