package kinematics

import (
	"errors"
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
	Measured float64 // m/s², 0 where it does not apply
	SD       float64
	Verdict  GravityVerdict
	Why      *Note // nil where it agrees
}

// leastFall is the least number of samples a fall is told from.
const leastFall = 6

// minFlightS is the shortest flight that a parabola says something about, s. A shorter one, of
// briefS at least, says one thing: that nothing falls faster than bodies do.
const (
	minFlightS = 0.12
	briefS     = 0.05
)

// fall is how fast the body's centre gathers speed in flight, px/s², with its standard
// deviation. why is not nil where there is no flight to tell it from.
type fall struct {
	accel, sd float64
	why       *Note
}

// fallOf fits a parabola to the centre of mass between from and to, the ends of the
// flight, in seconds.
func (m *motion) fallOf(from, to float64) fall {
	if !(to-from >= briefS) {
		return fall{why: info(NoteNoFlight)}
	}
	a, b := m.span(from+0.5/m.fs, to-0.5/m.fs)
	gather := func(p path) (accel, sd float64, n int) {
		var t, y []float64
		for i := a; i <= b; i++ {
			if !math.IsNaN(p.y[i]) {
				t, y = append(t, m.time(i)-from), append(y, p.y[i])
			}
		}
		if len(t) < leastFall {
			return 0, 0, len(t)
		}
		half, sd := parabola(t, y)
		return 2 * half, 2 * sd, len(t)
	}
	centre, sd, n := gather(m.centreOfMass(m.raw))
	if n < leastFall {
		return fall{why: info(NoteUnseenInFlight)}
	}
	// The centre told from six points leaves out what the arms do, and the hips are not
	// the centre: the truth lies about their mean, as far off as they differ.
	hips, _, _ := gather(m.middle(m.raw, Hip))
	f := fall{accel: (centre + hips) / 2}
	if to-from < minFlightS {
		f.why = info(NoteNoFlight)
	}
	// An error that bends the path by e over the flight is 8·e/T² of fall. Points err by
	// their standard deviation, changing over the way of a flight, and the centre of mass
	// is the mean of several.
	bend := 8 * centreShare * m.flightSD(a, b) / sq(to-from)
	f.sd = math.Sqrt(sq(sd) + sq((centre-hips)/2) + sq(bend) + sq(fallDoubt*f.accel))
	return f
}

// fallDoubt is by what share a fall told from points alone may be off besides, as that of
// the rendered jump is.
const fallDoubt = 0.03

// centreShare is how much of a point's standard deviation bends the path of the centre of
// mass.
const centreShare = 0.6

// Who comes nearer to the camera while falling seems to fall faster: by nearerFall for
// each part by which they grow, known to nearerFallSD of the fall. From the rendered
// clips, in which athletes step off a box towards the camera and grow by about 8 %.
const (
	nearerFall   = 2.5
	nearerFallSD = 0.12
)

// nearing takes out of a fall seen from the front what an athlete seems to fall who grows
// by the factor grow. What is taken out is as doubtful as it is large: it depends on how high the
// camera stands and on when they came nearer.
func (f fall) nearing(grow float64) fall {
	seemed := f.accel
	f.accel /= 1 + nearerFall*math.Max(grow-1, 0)
	f.sd = math.Hypot(f.sd, math.Hypot(nearerFallSD*f.accel, seemed-f.accel))
	return f
}

// check compares the fall with g under a scale that was told otherwise: the whole flight, or
// else its last part. falls are those.
func check(falls []fall, sc Scale, fs float64) GravityCheck {
	switch {
	case !sc.Known():
		return GravityCheck{Verdict: GravityNone, Why: info(NoteNoScale)}
	case sc.From == FromGravity:
		return GravityCheck{Verdict: GravityNone, Why: info(NoteFallGaveScale)}
	case falls[0].why != nil:
		if g, sd := falls[0].under(sc); g-2*sd > Gravity {
			return GravityCheck{Measured: g, SD: sd, Verdict: GravityDiffers, Why: fallsAt(g, sd)}
		}
		return GravityCheck{Verdict: GravityNone, Why: falls[0].why}
	}
	var first GravityCheck
	for i, f := range falls {
		g, sd := f.under(sc)
		out := GravityCheck{Measured: g, SD: sd, Verdict: GravityDiffers}
		if f.why == nil && isGravity(g, sd) {
			out.Verdict = GravityAgrees
			return out
		}
		if i == 0 {
			first = out
		}
	}
	first.Why = fallsAt(first.Measured, first.SD)
	if k := slower(first.Measured, first.SD); k > 1 {
		slow := slowMotion(k, fs)
		first.Why = &slow
	}
	return first
}

// under is the fall in m/s² under a scale, with its standard deviation.
func (f fall) under(sc Scale) (g, sd float64) {
	g = f.accel * sc.CMPerPx / 100
	return g, math.Hypot(f.sd*sc.CMPerPx/100, sc.SD/sc.CMPerPx*g)
}

// isGravity reports whether g, m/s² with that standard deviation, may be that of the earth.
func isGravity(g, sd float64) bool { return math.Abs(g-Gravity) <= 2*sd }

// slower is by which of 2, 4 and 8 a clip is played too slowly in which bodies fall at g
// with that standard deviation, m/s²; 1 where none makes it true gravity, or it may be that as
// it is. Slowing by k divides g by k², so that even a rough g tells the factors apart.
func slower(g, sd float64) float64 {
	if !(g > 0) || isGravity(g, sd) {
		return 1
	}
	for _, k := range slowFactors {
		if isGravity(k*k*g, k*k*sd) {
			return k
		}
	}
	return 1
}

// slow is slower for an athlete of unknown height, bodyPx tall.
func (f fall) slow(bodyPx float64) float64 {
	if f.why != nil || !(f.accel > 0) {
		return 1
	}
	c := typicalStatureCM / bodyPx / 100
	return slower(f.accel*c, math.Hypot(f.sd, typicalStatureSD/typicalStatureCM*f.accel)*c)
}

// fallsAt is said of a clip in which bodies fall at g ± sd, m/s², and should not.
func fallsAt(g, sd float64) *Note {
	return &Note{Code: NoteFall, Severity: Info, Args: []any{g, sd}, Hint: HintCheckTimeBase}
}

// slowLanding looks for a landing as it would be if the clip were slow motion, and tells how many
// times slower it plays when its fall is that of a person; 1 where there is none.
func (m *motion) slowLanding(bodyPx float64) float64 {
	for _, k := range slowFactors {
		fast := *m
		fast.grid = grid{t0: m.t0 / k, fs: m.fs * k, n: m.n}
		if fast.landsTrue(bodyPx) {
			return k
		}
	}
	return 1
}

// isTrue reports whether somebody of a person's size falls so, bodyPx tall.
func (f fall) isTrue(bodyPx float64) bool {
	c := typicalStatureCM / bodyPx / 100
	return f.why == nil && f.sd < worstGravityScale*f.accel && isGravity(f.accel*c, math.Hypot(f.sd, typicalStatureSD/typicalStatureCM*f.accel)*c)
}

var slowFactors = []float64{2, 4, 8}

// landsTrue reports whether somebody of a person's size lands who falls as bodies do.
func (m *motion) landsTrue(bodyPx float64) bool {
	for _, l := range m.landings(bodyPx) {
		at := l.first().timeS
		if m.fallOf(at-2*minFlightS, at).isTrue(bodyPx) && m.fallOf(at-1.5*minFlightS, at).isTrue(bodyPx) {
			return true
		}
	}
	return false
}

// worstGravityScale is the largest relative standard deviation of a scale told from the
// fall that is used.
const worstGravityScale = 0.25

// scale tells the cm per px from the fall, for an athlete bodyPx tall, where nothing
// else gives it. A fall that would make them a giant or a dwarf is none that was filmed at that
// rate, and doubt says so.
func (f fall) scale(bodyPx, fs float64) (sc Scale, doubt *Note) {
	if k := f.slow(bodyPx); k > 1 {
		slow := slowMotion(k, fs)
		return Scale{}, &slow
	}
	if f.why != nil || !(f.accel > 0) || f.sd > worstGravityScale*f.accel {
		return Scale{}, nil
	}
	c := 100 * Gravity / f.accel
	stature := c * bodyPx
	if stature >= leastStatureCM && stature <= mostStatureCM {
		return Scale{CMPerPx: c, SD: c * f.sd / f.accel, From: FromGravity}, nil
	}
	return Scale{}, &Note{Code: NoteGiant, Severity: Info, Args: []any{stature}, Hint: HintGiveLength}
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

// centreOfMass is the proxy of the body's centre from the six parts: head, arms
// and trunk from hip and shoulder, and the legs. The arms must hang; arms
// overhead raise the true centre by several centimetres. NaN where a part of it
// is not seen.
func (m *motion) centreOfMass(from map[Landmark]path) path {
	s, h := m.middle(from, Shoulder), m.middle(from, Hip)
	k, a := m.middle(from, Knee), m.middle(from, Ankle)
	heel, toe := m.middle(from, Heel), m.middle(from, Toe)
	out := path{make([]float64, m.n), make([]float64, m.n)}
	for i := range m.n {
		out.x[i], out.y[i] = math.NaN(), math.NaN()
		if s.x == nil || h.x == nil || k.x == nil || a.x == nil {
			continue
		}
		foot := a.at(i)
		if heel.x != nil && toe.x != nil {
			foot = heel.at(i).plus(toe.at(i)).times(0.5)
		}
		c := weigh(s.at(i), h.at(i), k.at(i), a.at(i), foot)
		out.x[i], out.y[i] = c.x, c.y
	}
	return out
}

// slowTrack is slowLanding for a track whose rate is too low to be looked at as it is.
func slowTrack(t Track, fs float64) float64 {
	for _, k := range slowFactors {
		u := t
		u.TimeS = make([]float64, len(t.TimeS))
		for i, v := range t.TimeS {
			u.TimeS[i] = v / k
		}
		m := motionAt(u, fs*k)
		if st, err := m.stand(math.Inf(1), m.time(m.n-1)); err == nil && m.landsTrue(st.body) {
			return k
		}
	}
	return 1
}

// ready prepares a track. One of too few frames to see a landing may be slow motion: its fall tells.
func ready(t Track, opt Options) (prepared, error) {
	p, err := prepare(t, opt)
	var bad *TrackError
	if !errors.As(err, &bad) || bad.Note.Code != TrackTooFewFrames {
		return p, err
	}
	fs := 1 / median(derivativeTimes(p.track.TimeS))
	if k := slowTrack(p.track, fs); k > 1 {
		return p, &TrackError{slowMotion(k, fs)}
	}
	return p, err
}
