package video

import (
	"fmt"
	"math"
	"slices"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// Timing is what the presentation times of a clip say.
type Timing struct {
	Frames     int
	DurationS  float64
	RateHz     float64 // from the median interval
	ShortestMS float64 // interval between two frames
	LongestMS  float64
}

// Steady reports whether all intervals are within 5 % of their median.
func (t Timing) Steady() bool {
	m := 1000 / t.RateHz
	return t.ShortestMS > 0.95*m && t.LongestMS < 1.05*m
}

// filmedAt is the timing of a slow-motion clip as it was filmed; 0 where it is true already.
func (t Timing) filmedAt(captureFPS float64) Timing {
	if captureFPS > 0 {
		t.RateHz = captureFPS
	}
	return t
}

func newTiming(timeS []float64) Timing {
	t := Timing{Frames: len(timeS)}
	var gaps []float64
	for i := 1; i < len(timeS); i++ {
		gaps = append(gaps, timeS[i]-timeS[i-1])
	}
	if len(gaps) == 0 {
		return t
	}
	t.DurationS = timeS[len(timeS)-1] - timeS[0]
	t.RateHz = 1 / plane.Median(gaps)
	t.ShortestMS, t.LongestMS = 1000*slices.Min(gaps), 1000*slices.Max(gaps)
	return t
}

// Check is one thing that decides whether a clip can be measured well, with what
// to do next time.
type Check struct {
	Name    string
	Value   float64
	Unit    string
	Verdict string // "good", "fair" or "poor"
	Why     string
}

// Report is what Inspect found.
type Report struct {
	Info    Info
	Losses  []Loss
	Freezes []Freeze
	Timing  Timing
	Checks  []Check
}

// Capture checks a clip by the points in its track: how large the athlete is and
// whether the feet stay in the picture, and the frame rate against the task. captureFPS is the
// rate of a slow-motion clip, 0 where the times are true.
func Capture(t kinematics.Track, task kinematics.Task, captureFPS float64) []Check {
	out := []Check{rateCheck(newTiming(t.TimeS).filmedAt(captureFPS), task)}
	var tall []float64
	edge := math.Inf(1)
	for i := range t.Frame {
		top, low := math.Inf(1), math.Inf(-1)
		for _, l := range kinematics.Landmarks() {
			p := t.Points[l][i]
			if !p.Seen() {
				continue
			}
			top, low = min(top, p.Y), max(low, p.Y)
			if part := l.Part(); t.Height > 0 && (part == kinematics.Toe || part == kinematics.Heel) {
				edge = min(edge, p.X, p.Y, float64(t.Width)-p.X, float64(t.Height)-p.Y)
			}
		}
		if low > top {
			tall = append(tall, (low-top)/0.818) // shoulder to floor, share of stature
		}
	}
	if len(tall) > 0 {
		slices.Sort(tall)
		out = append(out, sizeCheck(tall[len(tall)*9/10]))
	}
	if !math.IsInf(edge, 1) {
		out = append(out, feetCheck(edge))
	}
	return out
}

// graded judges a value that should be more, or else less, than two limits.
func graded(name string, v float64, unit string, good, fair float64, more bool, fine, todo string) Check {
	ok := func(limit float64) bool {
		if more {
			return v >= limit
		}
		return v <= limit
	}
	c := Check{Name: name, Value: v, Unit: unit, Verdict: "poor", Why: todo}
	switch {
	case ok(good):
		c.Verdict, c.Why = "good", fine
	case ok(fair):
		c.Verdict = "fair"
	}
	return c
}

func rateCheck(t Timing, task kinematics.Task) Check {
	good, fair := 55.0, 28.0
	if task.Jumps() {
		good, fair = 110, 55
	}
	return graded("frame_rate", t.RateHz, "1/s", good, fair, true,
		"fast enough for this task",
		fmt.Sprintf("at contact the knee bends up to %.0f degrees between two frames; film at 60 a second or more, and at 120 or 240 for jumps", 660/math.Max(t.RateHz, 1)))
}

func sizeCheck(px float64) Check {
	return graded("athlete_height_px", px, "px", 600, 350, true,
		"large enough in the picture", "the athlete is small in the picture; step closer, hold the phone upright, or film at a higher resolution")
}

func feetCheck(px float64) Check {
	return graded("feet_to_edge_px", px, "px", 20, 4, true,
		"the feet stay in the picture", "the feet come to the edge of the picture; aim lower or step back, so that the floor in front of the feet is seen")
}
