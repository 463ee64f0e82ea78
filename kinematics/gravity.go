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

// fall is how fast the body's centre gathers speed in flight, px/s², with its standard
// deviation. why is not empty where there is no flight to tell it from.
type fall struct {
	accel, sd float64
	why       string
}

// fallOf fits a parabola to the centre of mass between from and to, the ends of the
// flight, in seconds.
func (m *motion) fallOf(from, to float64) fall {
	if !(to-from >= minFlightS) {
		return fall{why: "there is no true flight of 0.12 s or more"}
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
		return fall{why: "the whole body was not seen in flight"}
	}
	half, sd := parabola(t, y)
	f := fall{accel: 2 * half}
	// From the front the athlete comes nearer while falling, which the parabola
	// reads as more fall: up to 20 %.
	nearer := 0.0
	if m.view == Front {
		nearer = 0.2 * f.accel
	}
	// Tracked points err alike from frame to frame; a fall of 0.2 s with 2 px of
	// bend unknown says little, and says so.
	bend := 2 * 8 * m.flightSD(a, b) / sq(to-from)
	f.sd = math.Sqrt(sq(2*sd) + sq(nearer) + sq(bend))
	return f
}

// check compares the fall with g under a scale that was told otherwise.
func (f fall) check(sc Scale, fs float64) GravityCheck {
	switch {
	case !sc.Known():
		return GravityCheck{Verdict: GravityNone, Why: noScale}
	case f.why != "":
		return GravityCheck{Verdict: GravityNone, Why: f.why}
	case sc.From == FromGravity:
		return GravityCheck{Verdict: GravityNone, Why: "the fall itself gave the scale"}
	}
	g := f.accel * sc.CMPerPx / 100
	out := GravityCheck{Measured: g, SD: math.Hypot(f.sd*sc.CMPerPx/100, sc.SD/sc.CMPerPx*g)}
	if math.Abs(g-Gravity) <= 2*out.SD {
		out.Verdict = GravityAgrees
		return out
	}
	out.Verdict = GravityDiffers
	out.Why = "the times or the scale of this clip are off; give --capture-fps if it is slow motion, and check the known length or the athlete's height"
	for _, k := range []float64{2, 4, 8} {
		if want := Gravity / (k * k); math.Abs(g-want) < math.Max(2*out.SD, 0.25*want) {
			out.Why = slowMotion(k, fs)
		}
	}
	return out
}

func slowMotion(k, fs float64) string {
	return fmt.Sprintf("bodies fall as in %.0f× slow motion; if it was filmed so, score it again with --capture-fps %.0f", k, math.Round(fs*k))
}

// slowLanding looks for a landing as it would be if the clip were slow motion, and says
// so when its fall is that of a person; "" where there is none.
func (m *motion) slowLanding(bodyPx float64) string {
	for _, k := range []float64{2, 4, 8} {
		fast := *m
		fast.grid = grid{t0: m.t0 / k, fs: m.fs * k, n: m.n}
		for _, l := range fast.landings(Both, bodyPx) {
			at := l.first().timeS
			f := fast.fallOf(at-2*minFlightS, at)
			if f.why != "" || !(f.accel > 0) {
				continue
			}
			if r := 100 * Gravity / f.accel * bodyPx / typicalStatureCM; r > 0.6 && r < 1.5 {
				return slowMotion(k, m.fs)
			}
		}
	}
	return ""
}

// The statures, in cm, that a scale told from the fall must give to be believed, and the
// one that slow motion is told by.
const (
	leastStatureCM   = 110
	mostStatureCM    = 230
	typicalStatureCM = 170
)

// worstGravityScale is the largest relative standard deviation of a scale told from the
// fall that is used.
const worstGravityScale = 0.25

// scale tells the cm per px from the fall, for an athlete bodyPx tall, where nothing
// else gives it. A fall that would make them a giant is slow motion, and warn says so.
func (f fall) scale(bodyPx, fs float64) (sc Scale, warn string) {
	if f.why != "" || !(f.accel > 0) || f.sd > worstGravityScale*f.accel {
		return Scale{}, ""
	}
	c := 100 * Gravity / f.accel
	stature := c * bodyPx
	if stature >= leastStatureCM && stature <= mostStatureCM {
		return Scale{CMPerPx: c, SD: c * f.sd / f.accel, From: FromGravity}, ""
	}
	for _, k := range []float64{2, 4, 8} {
		if r := stature / typicalStatureCM / (k * k); r > 0.6 && r < 1.5 {
			return Scale{}, "no scale: " + slowMotion(k, fs)
		}
	}
	return Scale{}, "no scale: the fall would make the athlete " + fmt.Sprintf("%.0f cm tall; give their height or a known length", stature)
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
