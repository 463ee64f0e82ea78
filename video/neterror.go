//go:build cgo

package video

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"steadfall/kinematics"
)

// typicalError is how the net errs on a part of the body, net minus truth, as shares of
// the body height: what it takes for a joint lies a little off the middle of the joint,
// and moves as the leg bends. across is towards the middle of the body from the front
// and forward from the side. Means over the rendered figures with exact truth, the
// changes with bend shrunk by their own uncertainty (DEVELOPERS.md, "How sure is a point
// the net placed"); on real people they are not measured.
type typicalError struct {
	across, down         float64 // of a straight leg
	bentAcross, bentDown float64 // change for each unit of bend
	sd                   float64 // between figures, of each axis
}

var frontErrors = map[kinematics.Part]typicalError{
	kinematics.Shoulder: {0.003, -0.009, 0.003, -0.019, 0.003},
	kinematics.Hip:      {0.006, 0.007, -0.027, -0.021, 0.0035},
	kinematics.Knee:     {0.000, 0.005, 0.029, 0.000, 0.005},
	kinematics.Ankle:    {-0.003, -0.016, 0.000, 0.000, 0.006},
	kinematics.Heel:     {-0.005, -0.021, 0.031, 0.000, 0.006},
	kinematics.Toe:      {0.030, -0.020, -0.080, 0.016, 0.007},
}

var sideErrors = map[kinematics.Part]typicalError{
	kinematics.Shoulder: {0.003, -0.011, 0.019, -0.010, 0.003},
	kinematics.Hip:      {0.024, 0.007, -0.017, -0.020, 0.006},
	kinematics.Knee:     {0.000, 0.000, -0.005, 0.000, 0.004},
	kinematics.Ankle:    {0.003, -0.017, 0.024, 0.026, 0.006},
	kinematics.Heel:     {0.019, -0.019, 0.003, 0.000, 0.006},
	kinematics.Toe:      {-0.022, -0.022, -0.039, 0.070, 0.006},
}

// pointed is the sd of heel and ankle, as shares of the body height, that a foot in the air
// adds from the side: it hangs, and the net and what follows it put the heel up to 5 % too
// low. fastFoot is the speed, in body heights a second, of a foot that surely is in the
// air.
var pointed = map[kinematics.Part]float64{kinematics.Heel: 0.035, kinematics.Ankle: 0.010}

const fastFoot = 0.5

// inTheAir tells for each frame how sure it is that the foot of a side is in the air,
// from 0 to 1, by the speed at which its ankle goes up or down.
func inTheAir(ankle []kinematics.Point, times []float64, body float64) []float64 {
	out := make([]float64, len(ankle))
	for i := range out {
		a, b := max(i-1, 0), min(i+1, len(ankle)-1)
		if ankle[a].Seen() && ankle[b].Seen() && times[b] > times[a] {
			out[i] = math.Min(math.Abs(ankle[b].Y-ankle[a].Y)/(times[b]-times[a])/body/fastFoot, 1)
		}
	}
	return out
}

// errorOf is how the net errs on a landmark of a straight leg, and what each unit of
// bend adds to its offset, as shares of the body height; its drift is that of a second until
// it is scaled.
func errorOf(l kinematics.Landmark, view kinematics.View) (e netError, bent r2.Vec) {
	table := frontErrors
	if view.IsSide() {
		table = sideErrors
	}
	t := table[l.Part()]
	e = netError{offset: r2.Vec{X: t.across, Y: t.down}, offsetSD: t.sd, strays: 0.007, fresh: 0.020, drift: 1.2e-5, slip: 0.0003}
	bent = r2.Vec{X: t.bentAcross, Y: t.bentDown}
	switch l.Part() {
	case kinematics.Ankle, kinematics.Heel, kinematics.Toe: // a shoe looks the same from frame to frame
		e.strays, e.fresh, e.slip = 0.005, 0.006, 0.0001
	}
	// The athlete's left is at the right of a front picture.
	if (view == kinematics.Front && l.Side() == kinematics.Left) || view == kinematics.SideLeft {
		e.offset.X, bent.X = -e.offset.X, -bent.X
	}
	if near := view.Near(); near != kinematics.Both && l.Side() != near {
		e.offsetSD *= 1.5
	}
	return e, bent
}

// scaled turns shares of the body height into px, and what is gained a second into what is
// gained a frame of that length.
func (e netError) scaled(body, frameS float64) netError {
	e.offset = r2.Scale(body, e.offset)
	e.offsetSD *= body
	e.strays *= body
	e.fresh *= body
	e.drift *= body * body * frameS
	e.slip *= body
	return e
}

// bends is, for each picture the net saw, by how much of their standing height the hips
// have come down over the ankles: 0 for straight legs, 0.2 in a deep landing.
func (w *walker) bends() map[int]float64 {
	height := map[int]float64{}
	for n := range w.trails[kinematics.On(kinematics.Left, kinematics.Hip)].net {
		var tall []float64
		for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
			h, okH := w.trails[kinematics.On(s, kinematics.Hip)].net[n]
			a, okA := w.trails[kinematics.On(s, kinematics.Ankle)].net[n]
			if okH && okA {
				tall = append(tall, a.Y-h.Y)
			}
		}
		if len(tall) > 0 {
			height[n] = slices.Max(tall) // the leg that stands
		}
	}
	var all []float64
	for _, h := range height {
		all = append(all, h)
	}
	slices.Sort(all)
	for n, h := range height {
		height[n] = math.Min(math.Max(1-h/all[len(all)*9/10], 0), 0.5)
	}
	return height
}

// deepest is the largest of the bends, 0 where there is none.
func deepest(bends map[int]float64) float64 {
	most := 0.0
	for _, b := range bends {
		most = max(most, b)
	}
	return most
}

// straightened is the net's points without what the bend of the leg adds to their
// offset; bent is that for a whole unit, px.
func straightened(net map[int]r2.Vec, bends map[int]float64, bent r2.Vec) map[int]r2.Vec {
	out := make(map[int]r2.Vec, len(net))
	for n, at := range net {
		out[n] = r2.Sub(at, r2.Scale(bends[n], bent))
	}
	return out
}

// erringAs is the net's points of a landmark, straightened and moved by what is expected of
// the two, so that they err as another landmark of a straight leg does: what lies between the
// two is then the body's.
func (w *walker) erringAs(other, l kinematics.Landmark, view kinematics.View, bends map[int]float64, body float64) map[int]r2.Vec {
	of, _ := errorOf(other, view)
	e, bent := errorOf(l, view)
	out := straightened(w.trails[l].net, bends, r2.Scale(body, bent))
	for n, at := range out {
		out[n] = r2.Sub(at, r2.Scale(body, r2.Sub(e.offset, of.offset)))
	}
	return out
}
