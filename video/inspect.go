package video

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"slices"

	"gocv.io/x/gocv"

	"steadfall/kinematics"
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
	t.RateHz = 1 / middle(gaps)
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
	Info   Info
	Timing Timing
	Checks []Check
}

// Inspect reads the whole clip and says what it is and whether it can be
// measured. The athlete is taken for what moves most; with points placed, Capture
// says more.
func Inspect(ctx context.Context, path string, task kinematics.Task, tell Progress) (Report, error) {
	clip, err := Open(path)
	if err != nil {
		return Report{}, err
	}
	defer clip.Close()
	l := newLooker()
	defer l.close()
	picture := gocv.NewMat()
	defer picture.Close()
	var times []float64
	for {
		if err := ctx.Err(); err != nil {
			return Report{}, err
		}
		s, err := clip.next(&picture)
		if errors.Is(err, errEnd) {
			break
		}
		if err != nil {
			return Report{}, err
		}
		times = append(times, s.TimeS)
		l.see(picture)
		if tell != nil {
			tell(len(times), clip.Frames)
		}
	}
	if err := clip.finish(); err != nil {
		return Report{}, err
	}
	r := Report{Info: clip.Info, Timing: newTiming(times)}
	r.Checks = append(r.Checks, rateCheck(r.Timing, task))
	r.Checks = append(r.Checks, l.checks(clip.Width, clip.Height)...)
	return r, nil
}

// Capture checks a clip by the points in its track: how large the athlete is and
// whether the feet stay in the picture, and the frame rate against the task.
func Capture(t kinematics.Track, task kinematics.Task) []Check {
	out := []Check{rateCheck(newTiming(t.TimeS), task)}
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

// looker gathers, frame by frame, how light, sharp and still the picture is and
// where it moves.
type looker struct {
	before, grey, diff gocv.Mat
	frames             int
	light, sharp, move []float64
	box                image.Rectangle // of what moves
	scale              float64
}

// lookWidth is the width in pixels at which the picture is looked at.
const lookWidth = 270

func newLooker() *looker {
	return &looker{before: gocv.NewMat(), grey: gocv.NewMat(), diff: gocv.NewMat()}
}

func (l *looker) close() {
	l.before.Close()
	l.grey.Close()
	l.diff.Close()
}

// every frames one is looked at.
const every = 3

func (l *looker) see(picture gocv.Mat) {
	l.frames++
	if l.frames%every != 1 {
		return
	}
	gocv.CvtColor(picture, &l.grey, gocv.ColorBGRToGray)
	if l.frames%(5*every) == 1 {
		lap, mean, sd := gocv.NewMat(), gocv.NewMat(), gocv.NewMat()
		gocv.Laplacian(l.grey, &lap, gocv.MatTypeCV64F, 1, 1, 0, gocv.BorderDefault)
		gocv.MeanStdDev(lap, &mean, &sd)
		l.sharp = append(l.sharp, sd.GetDoubleAt(0, 0))
		lap.Close()
		mean.Close()
		sd.Close()
		l.light = append(l.light, l.grey.Mean().Val1)
	}
	l.scale = float64(lookWidth) / float64(picture.Cols())
	small := gocv.NewMat()
	defer small.Close()
	gocv.Resize(l.grey, &small, image.Point{}, l.scale, l.scale, gocv.InterpolationArea)
	gocv.GaussianBlur(small, &small, image.Pt(5, 5), 0, 0, gocv.BorderReplicate)
	if !l.before.Empty() {
		l.motion(small)
	}
	small.CopyTo(&l.before)
}

// motion notes the shift of the whole picture and the box of what moves in it.
func (l *looker) motion(small gocv.Mat) {
	a, b := gocv.NewMat(), gocv.NewMat()
	defer a.Close()
	defer b.Close()
	l.before.ConvertTo(&a, gocv.MatTypeCV32F)
	small.ConvertTo(&b, gocv.MatTypeCV32F)
	window := gocv.NewMat()
	defer window.Close()
	shift, _ := gocv.PhaseCorrelate(a, b, window)
	l.move = append(l.move, math.Hypot(float64(shift.X), float64(shift.Y))/l.scale)
	gocv.AbsDiff(l.before, small, &l.diff)
	gocv.Threshold(l.diff, &l.diff, 12, 255, gocv.ThresholdBinary)
	contours := gocv.FindContours(l.diff, gocv.RetrievalExternal, gocv.ChainApproxSimple)
	defer contours.Close()
	for i := range contours.Size() {
		c := contours.At(i)
		if gocv.ContourArea(c) > 40 { // smaller specks are compression noise
			l.box = l.box.Union(gocv.BoundingRect(c))
		}
	}
}

func (l *looker) checks(width, height int) []Check {
	var out []Check
	if l.box.Empty() {
		return append(out, Check{"moving_height_px", 0, "px", "poor", "nothing moves in this clip; is it the right one?"})
	}
	tall := float64(l.box.Dy()) / l.scale
	out = append(out, graded("moving_height_px", tall, "px", 650, 380, true,
		"what moves is large enough in the picture", "what moves is small in the picture; step closer, or hold the phone upright"))
	bottom := float64(height) - float64(l.box.Max.Y)/l.scale
	out = append(out, graded("moving_to_lower_edge_px", bottom, "px", 20, 4, true,
		"the feet seem to stay in the picture", "movement reaches the lower edge, so the feet may leave the picture; aim lower or step back"))
	out = append(out, graded("light", middle(l.light), "of 255", 60, 30, true,
		"light enough", "the picture is dark, which blurs fast feet; switch on lights or turn the athlete to the window"))
	out = append(out, graded("sharpness", middle(l.sharp), "", 8, 4, true,
		"sharp enough", "the picture is soft; clean the lens, tap the athlete to focus, and use more light"))
	slices.Sort(l.move)
	shake := l.move[len(l.move)*9/10]
	out = append(out, graded("shake_px", shake, "px", 2, 6, false,
		"the camera stands still", "the camera moves; stand the phone on a tripod or against something"))
	return out
}
