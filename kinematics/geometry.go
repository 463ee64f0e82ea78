package kinematics

import "math"

const deg = 180 / math.Pi

// pt is a point or direction in pixels, y down.
type pt struct{ x, y float64 }

func (p path) at(i int) pt       { return pt{p.x[i], p.y[i]} }
func (p path) when(s float64) pt { return pt{valueAt(p.x, s), valueAt(p.y, s)} }
func (a pt) minus(b pt) pt       { return pt{a.x - b.x, a.y - b.y} }
func (a pt) plus(b pt) pt        { return pt{a.x + b.x, a.y + b.y} }
func (a pt) times(k float64) pt  { return pt{k * a.x, k * a.y} }
func (a pt) dot(b pt) float64    { return a.x*b.x + a.y*b.y }
func (a pt) len() float64        { return math.Hypot(a.x, a.y) }
func (a pt) to(b pt) float64     { return b.minus(a).len() }

// FPPADeg is the frontal-plane projection angle of one leg in degrees: the
// signed angle between hip→knee and knee→ankle in the image plane of an
// unmirrored front view, px, y down,
//
//	±(atan2(knee.x − hip.x, knee.y − hip.y) − atan2(ankle.x − knee.x, ankle.y − knee.y))
//
// with + for the right leg. 0 is straight; positive is the knee on the inner
// (medial) side, for either leg (sign of Munro, Herrington and Carolan 2012,
// J Sport Rehabil 21:7). Any side but Left counts as the right one; NaN gives NaN.
func FPPADeg(side Side, hipX, hipY, kneeX, kneeY, ankleX, ankleY float64) float64 {
	thigh := math.Atan2(kneeX-hipX, kneeY-hipY)
	shank := math.Atan2(ankleX-kneeX, ankleY-kneeY)
	d := (thigh - shank) * deg
	if side == Left {
		d = -d
	}
	return d
}

func fppa(side Side, hip, knee, ankle pt) float64 {
	return FPPADeg(side, hip.x, hip.y, knee.x, knee.y, ankle.x, ankle.y)
}

// included is the angle at b between a and c, 0 to 180 degrees.
func included(a, b, c pt) float64 {
	u, v := a.minus(b), c.minus(b)
	return math.Abs(math.Atan2(u.x*v.y-u.y*v.x, u.dot(v))) * deg
}

// angleSD is the standard deviation, in degrees, of the angle at a vertex
// between two outer points when each has its own standard deviation in pixels:
// the outer points turn one line each, the vertex turns both. l1 and l2 are
// the lengths of the lines, phi the included angle in degrees (docs/sources.md, Angle from
// points).
func angleSD(l1, l2, phi, outer1, vertex, outer2 float64) float64 {
	m := vertex * vertex * (1/(l1*l1) + 1/(l2*l2) - 2*math.Cos(phi/deg)/(l1*l2))
	return math.Sqrt(outer1*outer1/(l1*l1)+outer2*outer2/(l2*l2)+m) * deg
}

// lean is the angle of the line from low to high against the vertical, degrees,
// positive when high lies to the right of the picture.
func lean(low, high pt) float64 {
	return math.Atan2(high.x-low.x, low.y-high.y) * deg
}

// path is where a landmark is over time, in pixels; NaN where it is not seen.
type path struct{ x, y []float64 }
