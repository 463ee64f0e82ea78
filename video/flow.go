//go:build cgo

package video

import (
	"image"
	"math"

	"gocv.io/x/gocv"
	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
	"steadfall/video/plane"
)

// mover is a landmark about to be moved to the next picture.
type mover struct {
	mark  kinematics.Landmark
	at    r2.Vec   // where it is
	guess r2.Vec   // where constant velocity would take it
	limbs []r2.Vec // the landmarks it is joined to, where they are known
}

// flow measures steps between two grey pictures by pyramidal Lucas–Kanade
// (Bouguet 2001, as in OpenCV). A joint under plain cloth has no texture of its
// own, so a grid of points over the limbs that meet there is followed, and the
// landmark moves with the similarity transform that fits most of them.
type flow struct {
	body     float64 // height of the athlete, px
	side     bool    // a side view
	window   int     // side of the Lucas–Kanade window, px
	levels   int     // of the pyramid, above the picture itself
	back     int     // the same on the way back, which sets out from where it should end
	stop     gocv.TermCriteria
	artefact map[kinematics.Part]float64 // clickArtefact or netArtefact
}

// The parts of a step's standard deviation, calibrated against the clips with
// exact truth (DEVELOPERS.md, "How sure is a tracked point").
const (
	stepFloorPx  = 0.08 // px a frame on a point that hardly moves
	maxRoundTrip = 0.6  // px of forward–backward error, plus a share of the step
)

// clickArtefact is the soft-tissue artefact, how much the picture slides over a joint as it moves,
// where the grid set out from a point placed by hand: a variance for each pixel of the way, as a
// share of the body height. A shoe hardly slides.
var clickArtefact = map[kinematics.Part]float64{
	kinematics.Shoulder: 0.0012,
	kinematics.Hip:      0.0012,
	kinematics.Knee:     0.0012,
	kinematics.Ankle:    0.0012,
	kinematics.Heel:     0.0002,
	kinematics.Toe:      0.0002,
}

// netArtefact is the same where the grid keeps near the net's points, told from how far the
// flow over 0.1 s misses the exact truth of the rendered clips. Heel and toe miss by more, but
// always the same way in a landing, and must move together for their contact to be timed.
// From the side the thigh turns about the hip, and the arm hangs before it.
func netArtefact(view kinematics.View) map[kinematics.Part]float64 {
	hip := 0.0008
	if view.IsSide() {
		hip = 0.0025
	}
	return map[kinematics.Part]float64{
		kinematics.Shoulder: 0.0001,
		kinematics.Hip:      hip,
		kinematics.Knee:     0.0012,
		kinematics.Ankle:    0.0003,
		kinematics.Heel:     0.0002,
		kinematics.Toe:      0.0002,
	}
}

// stepSD is the standard deviation of a step of that length whose fit repeats to
// fit. Cloth and skin slip over a joint as it bends, always the same way during
// one movement, so the variance grows with the path rather than with its square.
func (f flow) stepSD(p kinematics.Part, length, fit float64) float64 {
	return math.Sqrt(stepFloorPx*stepFloorPx + f.artefactOf(p, length) + fit*fit)
}

// artefactOf is the variance that soft-tissue artefact, the slipping of cloth and skin, adds over
// so long a way, px².
func (f flow) artefactOf(p kinematics.Part, length float64) float64 {
	return f.artefact[p] * f.body * length
}

// newFlow sizes the grids and windows for an athlete of that height in pixels. On small
// pictures, with windows of 12 px, the pyramid reaches steps of 50 px a frame, 8 m/s at 60
// frames a second.
func newFlow(bodyPx float64, view kinematics.View) flow {
	odd := func(v float64) int { return int(v)/2*2 + 1 }
	return flow{
		body:     bodyPx,
		side:     view.IsSide(),
		window:   odd(min(max(0.035*bodyPx, 11), 45)),
		levels:   3,
		back:     1,
		stop:     gocv.NewTermCriteria(gocv.Count|gocv.EPS, 15, 0.02),
		artefact: clickArtefact,
	}
}

// reach is how far around a landmark the grid goes, and sigma how fast the
// weight of a point falls with its distance, as shares of the body height. From
// the front the hips take in the trunk, so that a hand passing before one does
// not carry it off.
func (f flow) reach(p kinematics.Part) (reach, sigma float64) {
	switch {
	case p == kinematics.Hip && !f.side:
		return 0.13, 0.08
	case p == kinematics.Ankle:
		return 0.055, 0.0275
	case p == kinematics.Heel || p == kinematics.Toe:
		return 0.035, 0.0175
	}
	return 0.075, 0.0375
}

// joined names the landmarks whose motion a landmark shares. From the front a hip
// goes with the trunk and the other hip rather than with the thigh, which turns
// about it; an ankle goes with the foot rather than with the shank.
func (f flow) joined(l kinematics.Landmark) []kinematics.Landmark {
	s := l.Side()
	switch l.Part() {
	case kinematics.Shoulder:
		return []kinematics.Landmark{kinematics.On(s, kinematics.Hip)}
	case kinematics.Hip:
		if f.side {
			return []kinematics.Landmark{kinematics.On(s, kinematics.Shoulder), kinematics.On(s, kinematics.Knee)}
		}
		return []kinematics.Landmark{kinematics.On(s, kinematics.Shoulder), kinematics.On(s, kinematics.Knee), kinematics.On(s.Other(), kinematics.Hip)}
	case kinematics.Knee:
		return []kinematics.Landmark{kinematics.On(s, kinematics.Hip), kinematics.On(s, kinematics.Ankle)}
	case kinematics.Ankle:
		return []kinematics.Landmark{kinematics.On(s, kinematics.Heel), kinematics.On(s, kinematics.Toe)}
	case kinematics.Heel:
		return []kinematics.Landmark{kinematics.On(s, kinematics.Toe), kinematics.On(s, kinematics.Ankle)}
	}
	return []kinematics.Landmark{kinematics.On(s, kinematics.Heel)}
}

// limbHalf is how far from the bones the grid goes, as a share of the body
// height: half a thigh, or half a shoe. About the ankle it leaves out the shank,
// which sways while the foot stands.
func limbHalf(p kinematics.Part) float64 {
	switch p {
	case kinematics.Ankle, kinematics.Heel, kinematics.Toe:
		return 0.022
	}
	return 0.042
}

const gridHalf = 4 // points from the middle of the grid to its edge

// grid returns the points that are followed for a landmark: those within reach
// and on one of its limbs.
func (f flow) grid(m mover) []r2.Vec {
	share, _ := f.reach(m.mark.Part())
	r, half := share*f.body, limbHalf(m.mark.Part())*f.body
	var out []r2.Vec
	for iy := -gridHalf; iy <= gridHalf; iy++ {
		for ix := -gridHalf; ix <= gridHalf; ix++ {
			q := r2.Add(m.at, r2.Scale(r/gridHalf, r2.Vec{X: float64(ix), Y: float64(iy)}))
			away := r2.Norm(r2.Sub(q, m.at))
			near := away < half/2 || len(m.limbs) == 0
			for _, l := range m.limbs {
				near = near || plane.ToLine(q, m.at, l) < half
			}
			if near && away <= r {
				out = append(out, q)
			}
		}
	}
	return out
}

// between measures the step of each landmark from picture a to picture b.
func (f flow) between(a, b gocv.Mat, movers []mover) []step {
	var from, seed []r2.Vec
	end := make([]int, len(movers))
	for i, m := range movers {
		g := f.grid(m)
		from = append(from, g...)
		for _, q := range g {
			seed = append(seed, r2.Add(q, r2.Sub(m.guess, m.at)))
		}
		end[i] = len(from)
	}
	if len(from) == 0 {
		return make([]step, len(movers))
	}
	there, okThere, texture := f.lucasKanade(a, b, from, seed, f.levels)
	back, okBack, _ := f.lucasKanade(b, a, there, from, f.back)
	out := make([]step, len(movers))
	k := 0
	for i, m := range movers {
		_, sigma := f.reach(m.mark.Part())
		fit := newFit(sigma * f.body)
		for ; k < end[i]; k++ {
			d := r2.Sub(there[k], from[k])
			if okThere[k] && okBack[k] && r2.Norm(r2.Sub(back[k], from[k])) < maxRoundTrip+0.1*r2.Norm(d) {
				fit.add(r2.Sub(from[k], m.at), d, texture[k])
			}
		}
		d, sd, ok := fit.solve()
		out[i] = step{D: d, SD: f.stepSD(m.mark.Part(), r2.Norm(d), sd), OK: ok}
	}
	return out
}

// lucasKanade runs one pass of OpenCV's pyramidal Lucas–Kanade and returns where
// the points went, whether they were found, and how much texture each had (the
// smaller eigenvalue of the gradient matrix over the window's pixels).
// https://docs.opencv.org/4.6.0/dc/d6b/group__video__track.html
func (f flow) lucasKanade(a, b gocv.Mat, from, seed []r2.Vec, levels int) (to []r2.Vec, ok []bool, texture []float64) {
	pa, pb := pointMat(from), pointMat(seed)
	defer pa.Close()
	defer pb.Close()
	status, errs := gocv.NewMat(), gocv.NewMat()
	defer status.Close()
	defer errs.Close()
	const useInitialFlow, getMinEigenvals = 4, 8 // cv::OPTFLOW_...
	gocv.CalcOpticalFlowPyrLKWithParams(a, b, pa, pb, &status, &errs, image.Pt(f.window, f.window), levels, f.stop, useInitialFlow|getMinEigenvals, minTexture)
	to, ok, texture = make([]r2.Vec, len(from)), make([]bool, len(from)), make([]float64, len(from))
	xy, errXY := pb.DataPtrFloat32()
	st, errST := status.DataPtrUint8()
	tx, errTX := errs.DataPtrFloat32()
	if errXY != nil || errST != nil || errTX != nil {
		return to, ok, texture // no flow: every point is lost
	}
	for i := range from {
		to[i] = r2.Vec{X: float64(xy[2*i]), Y: float64(xy[2*i+1])}
		ok[i] = st[i] == 1 &&
			to[i].X >= 0 && to[i].Y >= 0 && to[i].X <= float64(b.Cols()-1) && to[i].Y <= float64(b.Rows()-1)
		texture[i] = float64(tx[i])
	}
	return to, ok, texture
}

// minTexture is the least texture a followed point must have. Below it the
// window is flat and its flow is chance.
const minTexture = 1e-4

func pointMat(ps []r2.Vec) gocv.Mat {
	m := gocv.NewMatWithSize(len(ps), 1, gocv.MatTypeCV32FC2)
	xy, err := m.DataPtrFloat32()
	if err != nil {
		return m
	}
	for i, p := range ps {
		xy[2*i], xy[2*i+1] = float32(p.X), float32(p.Y)
	}
	return m
}

// similarity fits the step of a landmark to the steps of the points around it:
// d(q) = t + a·q + b·q⊥ with q from the landmark, by iteratively re-weighted
// least squares with Tukey's weights (Huber and Ronchetti 2009, Robust
// Statistics, §7.8), nearer and better textured points weighing more.
type similarity struct {
	sigma float64 // of the weight by distance, px
	q, d  []r2.Vec
	w     []float64
}

func newFit(sigma float64) *similarity { return &similarity{sigma: sigma} }

func (s *similarity) add(q, d r2.Vec, texture float64) {
	r := r2.Norm(q) / s.sigma
	s.q, s.d = append(s.q, q), append(s.d, d)
	s.w = append(s.w, math.Exp(-r*r/2)*texture/(texture+halfTexture))
}

// halfTexture is the texture at which a point has half its weight.
const halfTexture = 3e-4

// needPoints is the least number of points a landmark moves with.
const needPoints = 5

// solve returns the step and how well it is known from the spread of the points
// about the fit; ok is false when too few points agree.
func (s *similarity) solve() (t r2.Vec, sd float64, ok bool) {
	if len(s.q) < needPoints {
		return r2.Vec{}, 0, false
	}
	xs, ys := make([]float64, len(s.d)), make([]float64, len(s.d))
	for i, d := range s.d {
		xs[i], ys[i] = d.X, d.Y
	}
	t = r2.Vec{X: plane.WeightedMedian(xs, s.w), Y: plane.WeightedMedian(ys, s.w)}
	a, b := 0.0, 0.0
	res := make([]float64, len(s.q))
	w := make([]float64, len(s.q))
	var scale, sum, sum2 float64
	for range 6 {
		for i, q := range s.q {
			m := r2.Vec{X: t.X + a*q.X - b*q.Y, Y: t.Y + a*q.Y + b*q.X}
			res[i] = r2.Norm(r2.Sub(s.d[i], m))
		}
		// 1.48 turns a median absolute deviation into a standard deviation; a
		// tenth of a pixel is what Lucas–Kanade repeats to.
		scale = max(1.48*plane.WeightedMedian(res, s.w), 0.1)
		sum, sum2 = 0, 0
		for i := range w {
			u := res[i] / (4.685 * scale)
			w[i] = 0
			if u < 1 {
				w[i] = s.w[i] * (1 - u*u) * (1 - u*u)
			}
			sum += w[i]
			sum2 += w[i] * w[i]
		}
		if sum == 0 {
			return r2.Vec{}, 0, false
		}
		t, a, b = fitSimilarity(s.q, s.d, w, sum)
	}
	n := sum * sum / sum2 // effective number of points
	// Neighbouring windows overlap, so the points count as a sixth as many.
	return t, scale / math.Sqrt(n/6), n >= needPoints-1
}

// fitSimilarity solves the weighted normal equations in closed form. The
// rotation and growth of one frame are damped towards none, so that a handful
// of points cannot turn the limb.
func fitSimilarity(q, d []r2.Vec, w []float64, sum float64) (t r2.Vec, a, b float64) {
	var mq, md r2.Vec
	for i := range q {
		mq, md = r2.Add(mq, r2.Scale(w[i]/sum, q[i])), r2.Add(md, r2.Scale(w[i]/sum, d[i]))
	}
	var sa, sb, ss float64
	for i := range q {
		x, y := r2.Sub(q[i], mq), r2.Sub(d[i], md)
		sa += w[i] * r2.Dot(x, y)
		sb += w[i] * r2.Cross(x, y)
		ss += w[i] * r2.Dot(x, x)
	}
	const damp = 30 // px² a point
	ss += damp * sum
	a, b = sa/ss, sb/ss
	return r2.Vec{X: md.X - a*mq.X + b*mq.Y, Y: md.Y - a*mq.Y - b*mq.X}, a, b
}
