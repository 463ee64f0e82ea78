package kinematics

import (
	"fmt"
	"math"
)

// Source says where a point of a track came from.
type Source string

// The sources of a point.
const (
	Placed  Source = "placed"  // a person put it there on this frame
	Tracked Source = "tracked" // carried by optical flow from placed frames
	Model   Source = "model"   // a pose net put it there
)

// Point is one landmark on one frame, in pixels of the frame as shown: origin
// at the centre of the top-left pixel, x to the right, y down. SD is one
// standard deviation of x and of y. A point that was not seen has X = Y = NaN.
type Point struct {
	X, Y, SD float64
	Source   Source
}

// Seen reports whether the point has a place.
func (p Point) Seen() bool { return !math.IsNaN(p.X) && !math.IsNaN(p.Y) }

// Unseen is the point that has no place.
func Unseen() Point { return Point{X: math.NaN(), Y: math.NaN(), SD: math.NaN()} }

// Track is where each landmark is on each frame of one clip.
//
// len(Frame) == len(TimeS) == len(Points[l]) for every landmark l. Frame
// numbers count from 0 in presentation order and increase; TimeS are the
// container's presentation times in seconds and increase. Width and Height
// are those of the frame as shown, or 0 where they are not known (a track read
// from a file).
type Track struct {
	View          View
	Width, Height int
	Frame         []int
	TimeS         []float64
	Points        map[Landmark][]Point
}

// NewTrack returns a track of the given frames with no point seen.
func NewTrack(view View, width, height int, frame []int, timeS []float64) Track {
	t := Track{View: view, Width: width, Height: height, Frame: frame, TimeS: timeS, Points: map[Landmark][]Point{}}
	for _, l := range Landmarks() {
		ps := make([]Point, len(frame))
		for i := range ps {
			ps[i] = Unseen()
		}
		t.Points[l] = ps
	}
	return t
}

// Check returns an error in plain words when the track breaks its rules.
func (t Track) Check() error {
	if len(t.Frame) != len(t.TimeS) {
		return fmt.Errorf("the track has %d frames but %d times", len(t.Frame), len(t.TimeS))
	}
	for i := range t.TimeS {
		if math.IsNaN(t.TimeS[i]) || math.IsInf(t.TimeS[i], 0) || t.TimeS[i] < 0 {
			return fmt.Errorf("frame %d has the time %v s; times must be 0 or more", t.Frame[i], t.TimeS[i])
		}
		if i > 0 && t.Frame[i] <= t.Frame[i-1] {
			return fmt.Errorf("frame %d comes after frame %d; frames must increase", t.Frame[i], t.Frame[i-1])
		}
		if i > 0 && t.TimeS[i] <= t.TimeS[i-1] {
			return fmt.Errorf("frame %d has the time %.6f s, not after frame %d at %.6f s; times must increase", t.Frame[i], t.TimeS[i], t.Frame[i-1], t.TimeS[i-1])
		}
	}
	for l, ps := range t.Points {
		if len(ps) != len(t.Frame) {
			return fmt.Errorf("%s has %d points for %d frames", l, len(ps), len(t.Frame))
		}
		for i, p := range ps {
			if p.Seen() && (math.IsInf(p.X, 0) || math.IsInf(p.Y, 0) || !(p.SD > 0) || math.IsInf(p.SD, 0)) {
				return fmt.Errorf("%s on frame %d has a place or sd that is not a plain positive number", l, t.Frame[i])
			}
		}
	}
	return nil
}

// FacingView tells which side of the athlete faces the camera in a side view by
// where the toes point: an athlete who looks to the right of the picture shows the
// right side. It fails when no foot has both heel and toe.
func FacingView(t Track) (View, error) {
	var ahead []float64
	for _, s := range []Side{Left, Right} {
		toe, heel := t.Points[On(s, Toe)], t.Points[On(s, Heel)]
		for i := range t.Frame {
			if toe[i].Seen() && heel[i].Seen() {
				ahead = append(ahead, toe[i].X-heel[i].X)
			}
		}
	}
	switch m := median(ahead); {
	case m > 0:
		return SideRight, nil
	case m < 0:
		return SideLeft, nil
	}
	return "", fmt.Errorf("it cannot be told which way the athlete looks; place heel and toe of one foot")
}

// between is the range [from, to) of the frames at times a to b.
func (t Track) between(a, b float64) [2]int {
	from, to := 0, len(t.TimeS)
	for from < to && t.TimeS[from] < a {
		from++
	}
	for to > from && t.TimeS[to-1] > b {
		to--
	}
	return [2]int{from, to}
}

// slice is the track of the frames [from, to). It shares the points of t.
func (t Track) slice(from, to int) Track {
	out := t
	out.Frame, out.TimeS = t.Frame[from:to], t.TimeS[from:to]
	out.Points = map[Landmark][]Point{}
	for l, ps := range t.Points {
		out.Points[l] = ps[from:to]
	}
	return out
}

// SidesSwapped is the track with left and right changed over: of the clip's mirror
// image the net says left where the athlete's right is.
func (t Track) SidesSwapped() Track {
	out := t
	out.Points = map[Landmark][]Point{}
	for l, ps := range t.Points {
		out.Points[On(l.Side().Other(), l.Part())] = ps
	}
	switch t.View {
	case SideLeft:
		out.View = SideRight
	case SideRight:
		out.View = SideLeft
	}
	return out
}

// reflected is the track as a clip that is not mirrored would have shown it.
func (t Track) reflected() Track {
	out := t
	out.Points = map[Landmark][]Point{}
	for l, ps := range t.Points {
		qs := make([]Point, len(ps))
		for i, p := range ps {
			p.X = float64(t.Width-1) - p.X
			qs[i] = p
		}
		out.Points[l] = qs
	}
	return out
}

// turned is the track as a camera without that roll would have shown it: turned about
// the middle of the picture.
func (t Track) turned(rollDeg float64) Track {
	if rollDeg == 0 {
		return t
	}
	sin, cos := math.Sincos(rollDeg / deg)
	cx, cy := float64(t.Width-1)/2, float64(t.Height-1)/2
	out := t
	out.Points = map[Landmark][]Point{}
	for l, ps := range t.Points {
		qs := make([]Point, len(ps))
		for i, p := range ps {
			dx, dy := p.X-cx, p.Y-cy
			p.X, p.Y = cx+cos*dx+sin*dy, cy-sin*dx+cos*dy
			qs[i] = p
		}
		out.Points[l] = qs
	}
	return out
}
