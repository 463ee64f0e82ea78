package kinematics

import (
	"fmt"
	"math"
)

// GravityVerdict is what the flight says of the clip's times and lengths.
type GravityVerdict string

// The verdicts of the gravity check.
const (
	GravityAgrees  GravityVerdict = "agrees"
	GravityDiffers GravityVerdict = "differs"
	GravityNone    GravityVerdict = "does-not-apply"
)

// GravityCheck compares the fall of the body's centre in true flight with g. In
// a clip without true flight, or without a scale, it does not apply.
type GravityCheck struct {
	Measured float64        `json:"measured_m_s2,omitempty"`
	SD       float64        `json:"sd,omitempty"`
	Verdict  GravityVerdict `json:"verdict"`
	Why      string         `json:"why,omitempty"`
}

// minFlightS is the shortest flight that a parabola says something about.
const minFlightS = 0.12

// checkGravity fits a parabola to the centre of mass between from and to, the
// ends of the flight, in seconds.
func (m *motion) checkGravity(from, to float64, sc Scale) GravityCheck {
	none := func(why string) GravityCheck { return GravityCheck{Verdict: GravityNone, Why: why} }
	switch {
	case !sc.Known():
		return none(noScale)
	case !(to-from >= minFlightS):
		return none("there is no true flight of 0.12 s or more")
	}
	c := m.centreOfMass(m.raw)
	a, b := m.span(from+0.5/m.fs, to-0.5/m.fs)
	var t, y []float64
	for i := a; i <= b; i++ {
		if !math.IsNaN(c.y[i]) {
			t, y = append(t, m.time(i)-from), append(y, c.y[i])
		}
	}
	if len(t) < 6 {
		return none("the whole body was not seen in flight")
	}
	half, sd := parabola(t, y)
	g := 2 * half * sc.CMPerPx / 100
	// From the front the athlete comes nearer while falling, which the parabola
	// reads as more fall: up to 20 %.
	rel := sc.SD / sc.CMPerPx
	if m.view == Front {
		rel = math.Hypot(rel, 0.2)
	}
	// Tracked points err alike from frame to frame; a fall of 0.2 s with 2 px of
	// bend unknown says little, and says so.
	bend := 2 * 8 * m.flightSD(a, b) / sq(to-from) * sc.CMPerPx / 100
	out := GravityCheck{Measured: g, SD: math.Sqrt(sq(2*sd*sc.CMPerPx/100) + sq(rel*g) + sq(bend))}
	if math.Abs(g-Gravity) <= 2*out.SD {
		out.Verdict = GravityAgrees
		return out
	}
	out.Verdict = GravityDiffers
	out.Why = "the times or the scale of this clip are off; give --capture-fps if it is slow motion, and check the known length or the athlete's height"
	for _, k := range []float64{2, 4, 8} {
		if want := Gravity / (k * k); math.Abs(g-want) < math.Max(2*out.SD, 0.25*want) {
			out.Why = fmt.Sprintf("bodies fall as in %.0f× slow motion; if it was filmed so, score it again with --capture-fps %.0f", k, math.Round(m.fs*k))
		}
	}
	return out
}

// flightSD is the median standard deviation of the hips in flight, px.
func (m *motion) flightSD(a, b int) float64 {
	for _, l := range []Landmark{On(Left, Hip), On(Right, Hip)} {
		if sd, ok := m.sd[l]; ok {
			if v := median(sd[a : b+1]); !math.IsNaN(v) {
				return v
			}
		}
	}
	return 0
}

// parabola fits y = c0 + c1·t + c2·t² by least squares and returns c2 with its
// standard deviation.
func parabola(t, y []float64) (c2, sd float64) {
	// Centred and scaled, the normal equations are well conditioned: with
	// orthogonal polynomials 1, u, u²-α·u-β the leading coefficient stands alone.
	n := float64(len(t))
	mt := mean(t)
	var s2, s3 float64
	for _, v := range t {
		u := v - mt
		s2 += u * u
		s3 += u * u * u
	}
	var num, den float64
	q := make([]float64, len(t))
	for i, v := range t {
		u := v - mt
		q[i] = u*u - s3/s2*u - s2/n
		num += q[i] * y[i]
		den += q[i] * q[i]
	}
	c2 = num / den
	var my, sy float64
	my = mean(y)
	for i, v := range t {
		sy += (v - mt) * (y[i] - my)
	}
	var rss float64
	for i, v := range t {
		rss += sq(y[i] - my - sy/s2*(v-mt) - c2*q[i])
	}
	return c2, math.Sqrt(rss / math.Max(n-3, 1) / den)
}
