package kinematics

import (
	"math"
	"math/rand/v2"
)

// drawCount is how many seeded disturbances make the standard deviations: 200
// give each to 5 %.
const drawCount = 200

// The error of a landmark lasts: part of its variance is where on the body it was put
// and stays for the whole clip, the rest changes as the body moves, whatever the time
// that takes, and is forgotten over ar1Way. What is fresh on every frame has been
// filtered away. Both are from the clips with exact truth (DEVELOPERS.md, "How sure is
// a measure").
const (
	ar1Share = 0.6  // of the variance
	ar1Way   = 0.08 // body heights
)

// yawPriorDeg is the standard deviation of the angle by which the camera stands
// beside the athlete's front when nothing in the clip tells it.
const yawPriorDeg = 5.0

// standSDDeg is how squarely people land to a line on the floor that the camera is squared
// to (common practice, no source).
const standSDDeg = 2.0

// yawPrior is what is known of the camera's yaw before looking at the clip, one standard
// deviation in degrees.
func (o Options) yawPrior() float64 {
	if o.SquareDeg > 0 {
		return math.Min(math.Hypot(o.SquareDeg, standSDDeg), yawPriorDeg)
	}
	return yawPriorDeg
}

// splaySDDeg is how much one foot is turned out more than the other in people
// standing square (common practice, no source); it limits what the feet tell
// about yaw.
const splaySDDeg = 3.0

// yawSD is the standard deviation, in degrees, of the camera's yaw: the prior,
// narrowed by the directions of both feet where they are seen from the front. A
// clear turn of the feet widens it again, since nothing is corrected by it.
func (s *analysis) yawSD() float64 {
	// Feet that are seen tell of standing aside too; otherwise it is one more doubt.
	aside, ok := s.offAxis()
	if !ok {
		aside = offAxisUnknown
	}
	unseen := math.Hypot(s.opt.yawPrior(), aside)
	prior := sq(s.opt.yawPrior())
	if !s.has(On(Left, Heel), On(Left, Toe), On(Right, Heel), On(Right, Toe)) || len(s.when.contact) != 2 {
		return unseen
	}
	across := s.newCurve(func(i int) float64 {
		l, r := On(Left, Heel), On(Right, Heel)
		return s.pos[On(Left, Toe)].x[i] - s.pos[l].x[i] + s.pos[On(Right, Toe)].x[i] - s.pos[r].x[i]
	})
	foot := footLength * s.body
	turn := math.Asin(math.Min(math.Max(s.over(across, s.when.lowest-0.1, s.when.lowest+0.1)/(2*foot), -1), 1)) * deg
	if math.IsNaN(turn) {
		return unseen
	}
	points := 0.0
	for _, l := range []Landmark{On(Left, Heel), On(Left, Toe), On(Right, Heel), On(Right, Toe)} {
		points += sq(valueAt(s.sd[l], s.place(s.when.lowest)))
	}
	noise := sq(splaySDDeg)/2 + points/sq(2*foot)*deg*deg
	if math.IsNaN(noise) {
		return unseen
	}
	gain := prior / (prior + noise)
	return math.Hypot(gain*turn, math.Sqrt(gain*noise))
}

// disturbed is the analysis under one draw: every landmark, event and scale moved by
// what it is not known to. ev holds the standard deviations of the events; all that the
// draw works out goes into buffers.
func (s *analysis) disturbed(rng *rand.Rand, ev eventSDs, yawDeg float64, lags map[Landmark][]lag, buffers *scratch) *analysis {
	buffers.used = 0
	d := *s
	m := *s.motion
	m.scratch = buffers
	m.pos, m.light, m.raw = map[Landmark]path{}, map[Landmark]path{}, map[Landmark]path{}
	hips := map[Landmark]path{}
	for _, l := range Landmarks() { // in a fixed order, so that the seed decides all
		if _, ok := s.pos[l]; !ok {
			continue
		}
		ex, ey := m.ar1(l, rng, lags[l])
		m.pos[l] = m.shifted(s.pos[l], ex, ey)
		m.light[l] = m.shifted(s.light[l], ex, ey)
		m.raw[l] = m.shifted(s.raw[l], ex, ey)
		if l.Part() == Hip {
			hips[l] = path{ex, ey}
		}
	}
	d.motion = &m
	d.sc.CMPerPx *= math.Max(1+s.sc.SD/s.sc.CMPerPx*rng.NormFloat64(), 0.2)
	if !s.sc.Known() {
		d.sc = s.sc
	}
	d.thigh, d.shank = map[Side]float64{}, map[Side]float64{}
	for _, side := range []Side{Left, Right} {
		d.thigh[side] = s.thigh[side] + s.legSD[side]*rng.NormFloat64()
		d.shank[side] = s.shank[side] + s.legSD[side]*rng.NormFloat64()
	}
	d.hip = s.hip + s.hipSD*rng.NormFloat64()
	d.tilt = yawDeg / deg * rng.NormFloat64()
	d.roll = s.opt.rollSD() * rng.NormFloat64()
	d.when = s.when.disturbed(rng, ev)
	hip := d.middle(d.pos, Hip)
	if t, _ := d.lowest(hip, d.when.from(), d.when.settled()); !math.IsNaN(t) {
		d.when.lowest = t
	}
	e := m.middle(hips, Hip)
	d.swayed = m.shifted(s.swayed, e.x, e.y)
	d.disturbHold()
	return &d
}

// lag is how much of a landmark's changing error is left on the next frame, and how much is
// fresh there; none of either where the landmark does not move or is not seen.
type lag struct{ keep, fresh float64 }

// lags are the same for every draw.
func (s *analysis) lags() map[Landmark][]lag {
	out := map[Landmark][]lag{}
	for l, p := range s.pos {
		out[l] = make([]lag, s.n)
		for i := range s.n - 1 {
			if way := p.at(i).to(p.at(i + 1)); way > 0 {
				keep := math.Exp(-way / (ar1Way * s.body))
				out[l][i] = lag{keep, math.Sqrt(1 - keep*keep)}
			}
		}
	}
	return out
}

// ar1 is one draw of a landmark's autocorrelated error along each axis, px: the first-order
// autoregressive process AR(1), but for a part that lasts.
func (m *motion) ar1(l Landmark, rng *rand.Rand, lags []lag) (ex, ey []float64) {
	ex, ey = m.samples(), m.samples()
	fixed, changing := math.Sqrt(1-ar1Share), math.Sqrt(ar1Share)
	fx, fy, dx, dy := rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()
	sd := m.sd[l]
	for i, f := range lags {
		ex[i], ey[i] = sd[i]*(fixed*fx+changing*dx), sd[i]*(fixed*fy+changing*dy)
		if f != (lag{}) {
			dx, dy = f.keep*dx+f.fresh*rng.NormFloat64(), f.keep*dy+f.fresh*rng.NormFloat64()
		}
	}
	return ex, ey
}

// shifted is a path moved by so much at each sample.
func (m *motion) shifted(p path, dx, dy []float64) path {
	q := path{m.samples()[:len(p.x)], m.samples()[:len(p.y)]}
	for i := range p.x {
		q.x[i], q.y[i] = p.x[i]+dx[i], p.y[i]+dy[i]
	}
	return q
}

// eventSDs are the standard deviations of the events, s.
type eventSDs struct {
	contact, toe, heel map[Side]float64
	jump               float64 // take-off, rebound and second contact
	still, holdEnd     float64
}

func (w eventTimes) disturbed(rng *rand.Rand, sd eventSDs) eventTimes {
	move := func(t, sd float64) float64 { return t + sd*rng.NormFloat64() }
	feet := func(from, sds map[Side]float64) map[Side]float64 {
		out := map[Side]float64{}
		for _, s := range []Side{Left, Right} {
			if t, ok := from[s]; ok {
				out[s] = move(t, sds[s])
			}
		}
		return out
	}
	d := w
	d.contact, d.toe, d.heel = feet(w.contact, sd.contact), feet(w.toe, sd.toe), feet(w.heel, sd.heel)
	d.first = math.NaN()
	for _, t := range d.contact {
		if !(t >= d.first) {
			d.first = t
		}
	}
	d.liftOff, d.rebound, d.again = move(w.liftOff, sd.jump), move(w.rebound, sd.jump), move(w.again, sd.jump)
	d.still, d.holdEnd = move(w.still, sd.still), move(w.holdEnd, sd.holdEnd)
	return d
}
