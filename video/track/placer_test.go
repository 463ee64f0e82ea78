package track

import (
	"image"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
	"steadfall/video/pose"
)

// figure is an athlete of 400 px seen from the front, by the shares of Drillis and Contini 1966.
func figure() map[kinematics.Landmark]r2.Vec {
	out := map[kinematics.Landmark]r2.Vec{}
	for part, share := range map[kinematics.Part]float64{
		kinematics.Shoulder: 0.818, kinematics.Hip: 0.530, kinematics.Knee: 0.285, kinematics.Ankle: 0.039, kinematics.Heel: 0.01, kinematics.Toe: 0.01,
	} {
		for side, x := range map[kinematics.Side]float64{kinematics.Right: 270, kinematics.Left: 330} {
			out[kinematics.On(side, part)] = r2.Vec{X: x, Y: 500 - 400*share}
		}
	}
	return out
}

// sight is a picture in which the net sees the figure, moved by at, and errs as it is expected to.
type sight struct{ at r2.Vec }

func (s sight) Size() image.Point { return image.Pt(600, 640) }
func (s sight) Close()            {}

func (s sight) region() pose.Region {
	return pose.Region{Mid: r2.Add(s.at, r2.Vec{X: 300, Y: 288}), Side: 500}
}

func (s sight) People(image.Rectangle) []pose.Region { return []pose.Region{s.region()} }

func (s sight) See(pose.Region, bool) pose.Pose {
	out := pose.Pose{Sure: 1, Points: map[kinematics.Landmark]pose.Proposal{}, Head: r2.Add(s.at, r2.Vec{X: 300, Y: 126}), Next: s.region()}
	for l, at := range figure() {
		e, _ := pose.ErrorOf(l, kinematics.Front)
		out.Points[l] = pose.Proposal{At: r2.Add(r2.Add(at, s.at), r2.Scale(400, e.Offset)), Visible: 1}
	}
	return out
}

// placed goes through 80 frames of a falling figure whose pictures lie so in the frame, the net seeing it on all
// but some.
func placed(pl Placements, to plane.Cut, blind func(n int) bool) *Placer {
	p := NewPlacer(pl, 1200, 1280, to)
	closed := 0
	for n := range 80 {
		next := Frame{Number: n, TimeS: float64(n) / 60, Colours: func() pose.Picture { return sight{fall(n)} }}
		if !blind(n) {
			next.Grey = sheet{fall(n), &closed}
		}
		p.Next(next)
	}
	p.Close()
	return p
}

// One person is found and placed, without what the net is expected to err by, to 1.5 px in 400, also
// on either side of a damaged picture; a frozen frame has no points, and a point that was
// placed by hand is where it was placed.
func TestPlacerPlacesWhomTheNetSees(t *testing.T) {
	const half, hand, damaged, frozen = 0.5, 20, 40, 65
	pl := Placements{View: kinematics.Front}
	knee := kinematics.On(kinematics.Left, kinematics.Knee)
	off := r2.Vec{X: figure()[knee].X + 5, Y: figure()[knee].Y}
	pl.Put(hand, knee, kinematics.Point{X: off.X / half, Y: off.Y / half, SD: 0.2})
	cold := make([]bool, 80)
	cold[frozen] = true
	to := plane.Cut{K: half}
	people := placed(pl, to, func(n int) bool { return n == damaged }).People(cold)
	if len(people) != 1 || people[0].View != kinematics.Front || people[0].Behind || people[0].FeetOut > 0 {
		t.Fatalf("%+v", people)
	}
	for l, points := range people[0].Track(kinematics.Front).Points {
		for n, q := range points[:74] { // at rest the net is asked ten times a second, so not on the last ones
			if q.Seen() != (n != frozen) {
				t.Errorf("%s, frame %d: seen is %v", l, n, q.Seen())
				continue
			}
			want := r2.Add(figure()[l], fall(n))
			at := to.ToPicture(r2.Vec{X: q.X, Y: q.Y})
			if l == knee && n == hand && (q.Source != kinematics.Placed || math.Hypot(at.X-off.X, at.Y-off.Y) > 0.75) {
				t.Errorf("placed by hand at %v, is at %v", off, at)
			}
			if l != knee && n != frozen && r2.Norm(r2.Sub(at, want)) > 1.5 {
				t.Errorf("%s, frame %d: %v, want %v", l, n, at, want)
			}
		}
	}
}

// Where every picture is damaged there is nobody.
func TestPlacerSeesNobodyInNothing(t *testing.T) {
	if people := placed(Placements{}, plane.Cut{K: 1}, func(int) bool { return true }).People(make([]bool, 80)); len(people) > 0 {
		t.Errorf("%+v", people)
	}
}
