//go:build cgo

package draw

import (
	"image"
	"image/color"
	"math"
	"slices"

	"gocv.io/x/gocv"
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// A head is hidden by what is known of the body: it lies above the shoulders in the line of
// the trunk, or bent away from it up to upright. Lengths are shares of stature (Drillis and
// Contini 1966): shoulder to hip .288, hip to ankle .491, shoulder to crown .182. The rest
// is margin, for points that are off, hair, and a face that looks up or down.
const (
	trunkShare  = 0.288
	legShare    = 0.491
	headNear    = 0.05 // from the shoulders to the middle of the lowest disc that is hidden …
	headFar     = 0.13 // … and of the highest
	headHalf    = 0.13 // half the width of what is hidden
	headNod     = math.Pi / 6
	maskHipGap  = 0.05 // above the hips, where the shoulders were never seen
	maskNearbyS = 0.25 // how long a posture stands for that of other frames
)

// headMask hides a head on the frames of a track.
type headMask struct {
	t    kinematics.Track
	body float64 // stature, px; 0 where it cannot be told
}

func newHeadMask(t kinematics.Track) headMask {
	var talls []float64
	for i := range t.Frame {
		for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
			hip := t.Points[kinematics.On(s, kinematics.Hip)][i]
			for part, share := range map[kinematics.Part]float64{kinematics.Shoulder: trunkShare, kinematics.Ankle: legShare} {
				if p := t.Points[kinematics.On(s, part)][i]; p.Seen() && hip.Seen() {
					talls = append(talls, math.Hypot(p.X-hip.X, p.Y-hip.Y)/share)
				}
			}
		}
	}
	if len(talls) == 0 {
		return headMask{t: t}
	}
	slices.Sort(talls)
	return headMask{t, talls[len(talls)*9/10]} // bent limbs look short
}

// middle is the point between the two of a part, or the one that is seen.
func (v headMask) middle(part kinematics.Part, i int) (at r2.Vec, ok bool) {
	n := 0.0
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		if p := v.t.Points[kinematics.On(s, part)][i]; p.Seen() {
			at, n = r2.Add(at, r2.Vec{X: p.X, Y: p.Y}), n+1
		}
	}
	return r2.Scale(1/n, at), n > 0
}

// trunk is where hips and shoulders are on a frame. Shoulders that were lost are as far from
// the hips as on the nearest frame, hips where they were then.
func (v headMask) trunk(frame int) (hips, shoulders r2.Vec, okHips, ok bool) {
	k := slices.Index(v.t.Frame, frame)
	if k < 0 {
		return
	}
	away := func(i int) float64 { return math.Abs(v.t.TimeS[i] - v.t.TimeS[k]) }
	near, nearest := math.Inf(1), math.Inf(1)
	for i := range v.t.Frame {
		if h, seen := v.middle(kinematics.Hip, i); seen && away(i) < near {
			hips, okHips, near = h, true, away(i)
		}
	}
	for i := range v.t.Frame {
		h, seenHips := v.middle(kinematics.Hip, i)
		s, seen := v.middle(kinematics.Shoulder, i)
		switch {
		case !seen || away(i) > maskNearbyS || away(i) >= nearest:
		case i == k && !seenHips:
			shoulders, ok, nearest = s, true, 0
		case seenHips:
			shoulders, ok, nearest = r2.Add(hips, r2.Sub(s, h)), true, away(i)
		}
	}
	return hips, shoulders, okHips, ok
}

// outline encloses the head on a frame, in the pixels of the clip. Where the shoulders are
// not known it encloses all that is above the hips, and where those are not, all.
func (v headMask) outline(frame, width, height int) []image.Point {
	hips, shoulders, okHips, ok := v.trunk(frame)
	if !ok || v.body == 0 {
		bottom := float64(height)
		if okHips && v.body > 0 {
			bottom = hips.Y - maskHipGap*v.body
		}
		return []image.Point{{}, {X: width}, {X: width, Y: int(bottom)}, {Y: int(bottom)}}
	}
	ways := []float64{-math.Pi / 2} // up
	if okHips {
		trunk := math.Atan2(shoulders.Y-hips.Y, shoulders.X-hips.X)
		ways = append(ways, trunk)
		if v.t.View.IsSide() { // the chin may go to the chest, on the side that the trunk leans to
			ways = append(ways, trunk+math.Copysign(headNod, shoulders.X-hips.X))
		}
	}
	var rim []image.Point
	for _, way := range ways {
		for _, far := range []float64{headNear, headFar} {
			for k := range 16 {
				turn := 2 * math.Pi * float64(k) / 16
				rim = append(rim, image.Pt(
					int(shoulders.X+v.body*(far*math.Cos(way)+headHalf*math.Cos(turn))),
					int(shoulders.Y+v.body*(far*math.Sin(way)+headHalf*math.Sin(turn)))))
			}
		}
	}
	return hull(rim)
}

// hull is the convex hull of points, by OpenCV.
func hull(all []image.Point) []image.Point {
	pts := gocv.NewPointVectorFromPoints(all)
	defer pts.Close()
	index := gocv.NewMat()
	defer index.Close()
	gocv.ConvexHull(pts, &index, true, false)
	out := make([]image.Point, index.Rows())
	for i := range out {
		out[i] = all[index.GetIntAt(i, 0)]
	}
	return out
}

// hide makes the face unrecognisable on a picture of the frame.
func (v headMask) hide(m *gocv.Mat, frame int, to plane.Cut) {
	var rim []image.Point
	for _, p := range v.outline(frame, to.Corner.X+int(float64(m.Cols())/to.K)+1, to.Corner.Y+int(float64(m.Rows())/to.K)+1) {
		rim = append(rim, to.Pixel(kinematics.Point{X: float64(p.X), Y: float64(p.Y)}))
	}
	box := image.Rectangle{Min: rim[0], Max: rim[0]}
	for _, p := range rim {
		box = box.Union(image.Rectangle{Min: p, Max: p.Add(image.Pt(1, 1))})
	}
	box = box.Intersect(image.Rect(0, 0, m.Cols(), m.Rows()))
	if box.Empty() {
		return
	}
	for i := range rim {
		rim[i] = rim[i].Sub(box.Min)
	}
	area := m.Region(box)
	defer area.Close()
	soft, mask := gocv.NewMat(), gocv.Zeros(box.Dy(), box.Dx(), gocv.MatTypeCV8U)
	defer soft.Close()
	defer mask.Close()
	// A blur as wide as the head, of the picture made small: as strong, and quick.
	few := image.Pt(max(box.Dx()/max(box.Dx()/12, 1), 1), max(box.Dy()/max(box.Dx()/12, 1), 1))
	gocv.Resize(area, &soft, few, 0, 0, gocv.InterpolationArea)
	gocv.GaussianBlur(soft, &soft, image.Pt(5, 5), 1.2, 1.2, gocv.BorderReplicate)
	gocv.Resize(soft, &soft, box.Size(), 0, 0, gocv.InterpolationLinear)
	shape := gocv.NewPointsVectorFromPoints([][]image.Point{rim})
	defer shape.Close()
	gocv.FillPoly(&mask, shape, color.RGBA{R: 255, G: 255, B: 255, A: 255})
	soft.CopyToWithMask(&area, mask)
}
