package kinematics

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
)

// drawCount is how many seeded disturbances make the standard deviations: 200
// give each to 5 %.
const drawCount = 200

// disturbed is the analysis under one draw: every landmark, event and scale moved by
// what it is not known to. ev holds the standard deviations of the events; all that the
// draw works out goes into buffers.
func (s *analysis) disturbed(rng *rand.Rand, yawDeg float64, lags map[Landmark][]lag, buffers *scratch) *analysis {
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
	d.when = s.when.disturbed(rng, s.sds)
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
	ex, ey = m.buffer(), m.buffer()
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
	q := path{m.buffer()[:len(p.x)], m.buffer()[:len(p.y)]}
	for i := range p.x {
		q.x[i], q.y[i] = p.x[i]+dx[i], p.y[i]+dy[i]
	}
	return q
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
	d.liftOff, d.rebound, d.nextContact = move(w.liftOff, sd.jump), move(w.rebound, sd.jump), move(w.nextContact, sd.jump)
	d.still, d.holdEnd = move(w.still, sd.still), move(w.holdEnd, sd.holdEnd)
	return d
}

// disturbHold finds the hold again in a disturbed analysis: noise decides when slow sinking
// has stopped, and when a sway has become too much.
func (d *analysis) disturbHold() {
	if math.IsNaN(d.hold.from) {
		return
	}
	start := d.stillFrom(d.swayed, d.when.lowest, d.hold.to, d.body)
	if start < 0 {
		return
	}
	h := hold{from: d.time(start), to: d.hold.to, ending: HeldToEnd}
	if d.hold.ending == LeftPlace {
		h.to = math.Max(h.to, d.time(d.n-1))
		d.endByHips(&h, d.swayed, start, d.body)
	}
	d.when.still += h.from - d.hold.from
	if h.ending == d.hold.ending {
		d.when.holdEnd += h.to - d.hold.to
	}
}

// drawn is a value and what disturbing it gave.
type drawn struct {
	value
	sd    float64
	draws []float64
	taken int // draws in which it could be told; the others hold its value
}

// perturb tells the measures drawCount times under seeded disturbances, yawDeg being the standard
// deviation of the camera's yaw, and gives their standard deviations. The same seed gives the same.
func (s *analysis) perturb(all []told, base *takings, yawDeg float64, seed uint64) map[key]drawn {
	draws := make([][]float64, len(all))
	for i := range draws {
		draws[i] = make([]float64, drawCount)
	}
	// The seed decides all: what is drawn is drawn in order, and only measured side by side.
	rng := rand.New(rand.NewPCG(seed, 0x1a4d))
	lags := s.lags()
	type draw struct {
		k int
		s *analysis
	}
	todo := make(chan draw)
	workers := runtime.GOMAXPROCS(0)
	free := make(chan *scratch, workers+1)
	free <- new(scratch)
	var measuring sync.WaitGroup
	for range workers {
		free <- new(scratch)
		measuring.Go(func() {
			for d := range todo {
				got := d.s.take(all)
				for i, m := range all {
					draws[i][d.k] += got.values[m.key()].v
				}
				free <- d.s.scratch
			}
		})
	}
	for k := range drawCount {
		d := s.disturbed(rng, yawDeg, lags, <-free)
		for i, m := range all {
			if own := base.values[m.key()].own; own > 0 {
				draws[i][k] = own * rng.NormFloat64()
			}
		}
		todo <- draw{k, d}
	}
	close(todo)
	measuring.Wait()
	out := map[key]drawn{}
	for i, m := range all {
		d := drawn{value: base.values[m.key()]}
		if !d.missing() {
			d.draws, d.taken = fillDraws(draws[i], d.v)
		}
		if d.taken >= drawCount/2 {
			d.v, d.sd = withoutNoise(d.draws, d.v, d.bias)
		}
		out[m.key()] = d
	}
	return out
}

// fillDraws replaces the few draws in which a measure could not be taken by its
// value, so that all measures keep the same order of draws, and counts the others.
func fillDraws(d []float64, v float64) (out []float64, taken int) {
	out = slices.Clone(d)
	for i, x := range out {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			out[i] = v
		} else {
			taken++
		}
	}
	return out, taken
}
