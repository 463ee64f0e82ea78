//go:build cgo

package video

import (
	"context"
	"image"
	"io"
	"math"
	"slices"

	"gocv.io/x/gocv"

	"steadfall/kinematics"
	"steadfall/video/clip"
	"steadfall/video/mat"
	"steadfall/video/plane"
)

// Inspect reads the whole clip and says what it is and whether it can be
// measured. The athlete is taken for what moves most; with points placed, Capture
// says more.
func Inspect(ctx context.Context, path string, task kinematics.Task, tell Progress) (Report, error) {
	film, err := clip.Open(path)
	if err != nil {
		return Report{}, err
	}
	defer film.Close()
	l := newLooker(film.Width, film.Height)
	defer l.close()
	c := newChanges(lookBlock)
	defer c.close()
	var times []float64
	for {
		if err := ctx.Err(); err != nil {
			return Report{}, err
		}
		p, err := film.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return Report{}, err
		}
		times = append(times, p.TimeS)
		small := gocv.NewMat()
		if !p.Damaged {
			small.Close()
			small = mat.Grey(p, l.whole, l.shrink)
		}
		c.see(small)
		if !p.Damaged {
			l.see(p, small)
		}
		small.Close()
		if tell != nil {
			tell(len(times), film.Frames)
		}
	}
	if err := enough(path, l.frames); err != nil {
		return Report{}, err
	}
	r := Report{Info: film.Info, Losses: film.Losses(), Freezes: freezes(c.frozen(), times), Timing: newTiming(times)}
	r.Checks = append(r.Checks, rateCheck(r.Timing.filmedAt(film.CaptureFPS), task))
	r.Checks = append(r.Checks, l.checks(film.Height)...)
	return r, nil
}

// looker gathers, frame by frame, how light, sharp and still the picture is and
// where it moves.
type looker struct {
	before, diff       gocv.Mat
	frames             int
	light, sharp, move []float64
	box                image.Rectangle // of what moves
	whole              image.Rectangle
	shrink             int
}

// lookWidth is about the width in pixels at which the picture is looked at.
const lookWidth = 270

// lookBlock is about a fiftieth of a person there, px.
const lookBlock = 4

func newLooker(width, height int) *looker {
	k := max(1, (width+lookWidth/2)/lookWidth)
	return &looker{before: gocv.NewMat(), diff: gocv.NewMat(), whole: mat.Divisible(width, height, k), shrink: k}
}

func (l *looker) close() {
	l.before.Close()
	l.diff.Close()
}

// every frames one is looked at.
const every = 3

// see takes the next picture and its small grey one, which it may change.
func (l *looker) see(p clip.Picture, small gocv.Mat) {
	l.frames++
	if l.frames%every != 1 {
		return
	}
	if l.frames%(5*every) == 1 {
		grey := mat.Grey(p, l.whole, 1)
		lap, mean, sd := gocv.NewMat(), gocv.NewMat(), gocv.NewMat()
		gocv.Laplacian(grey, &lap, gocv.MatTypeCV64F, 1, 1, 0, gocv.BorderDefault)
		gocv.MeanStdDev(lap, &mean, &sd)
		l.sharp = append(l.sharp, sd.GetDoubleAt(0, 0))
		lap.Close()
		mean.Close()
		sd.Close()
		l.light = append(l.light, grey.Mean().Val1)
		grey.Close()
	}
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
	l.move = append(l.move, math.Hypot(float64(shift.X), float64(shift.Y))*float64(l.shrink))
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

func (l *looker) checks(height int) []Check {
	var out []Check
	if l.box.Empty() {
		return append(out, Check{"moving_height_px", 0, "px", "poor", "nothing moves in this clip; is it the right one?"})
	}
	tall := float64(l.box.Dy() * l.shrink)
	out = append(out, graded("moving_height_px", tall, "px", 650, 380, true,
		"what moves is large enough in the picture", "what moves is small in the picture; step closer, or hold the phone upright"))
	bottom := float64(height - l.box.Max.Y*l.shrink)
	out = append(out, graded("moving_to_lower_edge_px", bottom, "px", 20, 4, true,
		"the feet seem to stay in the picture", "movement reaches the lower edge, so the feet may leave the picture; aim lower or step back"))
	out = append(out, graded("light", plane.Median(l.light), "of 255", 60, 30, true,
		"light enough", "the picture is dark, which blurs fast feet; switch on lights or turn the athlete to the window"))
	out = append(out, graded("sharpness", plane.Median(l.sharp), "", 8, 4, true,
		"sharp enough", "the picture is soft; clean the lens, tap the athlete to focus, and use more light"))
	slices.Sort(l.move)
	shake := l.move[len(l.move)*9/10]
	out = append(out, graded("shake_px", shake, "px", 2, 6, false,
		"the camera stands still", "the camera moves; stand the phone on a tripod or against something"))
	return out
}
