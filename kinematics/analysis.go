package kinematics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// analysis is all that the measures are taken from.
type analysis struct {
	*motion
	standing
	sc      Scale
	opt     Options
	when    eventTimes
	sds     eventSDs
	feet    []footContact // that landed, by time; none in a snap-down without contact
	hold    hold
	swayed  path    // of the hips, as stillness is judged by it
	inAir   []Side  // feet that are seen off the floor just after contact
	airFrom float64 // when the last landing foot had left what it stood on, s
	roll    float64 // of the camera in this draw, degrees
	tilt    float64 // yaw of the camera about the vertical in this draw, radians
}

// curve is a quantity over the whole grid and its time.
type curve []float64

// newCurve evaluates f at every sample.
func (s *analysis) newCurve(f func(i int) float64) curve {
	c := curve(s.buffer())
	for i := range c {
		c[i] = f(i)
	}
	return c
}

// at is the curve's value at a time.
func (s *analysis) at(c curve, t float64) float64 { return valueAt(c, s.position(t)) }

// known says how well a curve is known: sd is its standard deviation at a sample,
// in its own unit, and best marks the samples at which it is about as small as it
// gets.
type known struct {
	sd   curve
	best []bool
}

// knownTo builds a known from the standard deviation at each sample; best are the
// samples between two times at which it is at most half more than the least.
func (s *analysis) knownTo(from, to float64, sd func(i int) float64) *known {
	k := &known{sd: s.newCurve(sd), best: make([]bool, s.n)}
	low, _ := s.least(k.sd, from, to)
	for i, v := range k.sd {
		k.best[i] = v <= 1.5*low
	}
	return k
}

// most is the largest value of the curve between two times and when it was. With k
// it is looked for where the curve is known best, so that a stretch in which points
// drift does not win by chance; a larger value elsewhere counts when it is larger
// beyond doubt, by two standard deviations of its own. It is not known then where a part of the
// time was not seen.
func (s *analysis) most(c curve, from, to float64, k *known) (v, t float64) {
	v, t = math.NaN(), math.NaN()
	if k != nil && !s.seen(c, from, to) {
		return v, t
	}
	a, b := s.span(from, to)
	for i := a; i <= b; i++ {
		if (k == nil || k.best[i]) && !math.IsNaN(c[i]) && !(c[i] <= v) {
			v, t = c[i], s.time(i)
		}
	}
	if k == nil {
		return v, t
	}
	floor := v
	for i := a; i <= b; i++ {
		if low := c[i] - 2*k.sd[i]; low > floor {
			floor, v, t = low, c[i], s.time(i)
		}
	}
	return v, t
}

// least is the smallest value between two times and when it was.
func (s *analysis) least(c curve, from, to float64) (v, t float64) {
	v, t = math.NaN(), math.NaN()
	a, b := s.span(from, to)
	for i := a; i <= b; i++ {
		if !math.IsNaN(c[i]) && !(c[i] >= v) {
			v, t = c[i], s.time(i)
		}
	}
	return v, t
}

// over is the mean of the curve between two times.
func (s *analysis) over(c curve, from, to float64) float64 {
	if math.IsNaN(from) || math.IsNaN(to) {
		return math.NaN()
	}
	a, b := s.span(from, to)
	if a > b {
		return math.NaN()
	}
	return mean(c[a : b+1])
}

// cm turns pixels at the landing place into centimetres; NaN without a scale.
func (s *analysis) cm(px float64) float64 {
	if !s.sc.Known() {
		return math.NaN()
	}
	return px * s.sc.CMPerPx
}

// comingS is how much of a curve before contact tells its value there, s: until then a joint bends
// slowly, and a filter that looks on both sides of contact would round off the corner and tell too
// much bend, the more the lower the rate.
const comingS = 0.06

// arriving is an unfiltered curve's value at a time, told by a line through what was just before,
// and its standard deviation by how well the line fits.
func (s *analysis) arriving(raw curve, t float64) (v, sd float64) {
	last := int(math.Ceil(s.position(t)-0.25)) - 1 // a sample at contact may be one after it
	n := max(int(math.Round(comingS*s.fs)), 3)
	var ts, vs []float64
	for i := max(last-n+1, 0); i <= last && i < s.n; i++ {
		if !math.IsNaN(raw[i]) {
			ts, vs = append(ts, s.time(i)-t), append(vs, raw[i])
		}
	}
	if len(ts) < 3 {
		return math.NaN(), math.NaN()
	}
	a, b := stat.LinearRegression(ts, vs, nil, false)
	rss, far := 0.0, 0.0
	mid := stat.Mean(ts, nil)
	for i, at := range ts {
		rss += sq(vs[i] - a - b*at)
		far += sq(at - mid)
	}
	k := float64(len(ts))
	return a, math.Sqrt(rss / (k - 2) * (1/k + sq(mid)/far))
}

// kneeSD is the standard deviation of the angle at a knee over time, degrees.
func (s *analysis) kneeSD(side Side) func(i int) float64 {
	h, k, a := On(side, Hip), On(side, Knee), On(side, Ankle)
	ph, pk, pa, sh, sk, sa := s.pos[h], s.pos[k], s.pos[a], s.sd[h], s.sd[k], s.sd[a]
	return func(i int) float64 {
		p, q, r := ph.at(i), pk.at(i), pa.at(i)
		return angleSD(p.to(q), q.to(r), included(p, q, r), sh[i], sk[i], sa[i])
	}
}

// flightFrom is when the last landing foot had left what it stood on.
func (s *analysis) flightFrom() float64 {
	if !math.IsNaN(s.when.liftOff) {
		return s.when.liftOff
	}
	off := math.NaN()
	near := s.view.Near()
	for _, f := range s.feet {
		if near != Both && f.side != near && len(s.feet) > 1 {
			continue // hidden half of the time
		}
		y := s.light[On(f.side, f.part)].y
		v := derivative(y, s.fs)
		for i := s.near(f.timeS) - 2; i >= 0; i-- {
			if !(math.Abs(v[i]) > restSpeed*s.body) {
				if t := s.time(i); !(t <= off) {
					off = t
				}
				break
			}
		}
	}
	return off
}

// lifted are the feet that are seen above the landing foot by liftedShare shortly after
// contact.
func (s *analysis) lifted() []Side {
	floor := math.Inf(-1)
	height := map[Side]float64{}
	for _, side := range []Side{Left, Right} {
		for _, part := range footParts {
			p, ok := s.pos[On(side, part)]
			if !ok {
				continue
			}
			if y := valueAt(p.y, s.position(s.when.from()+0.1)); !math.IsNaN(y) {
				floor = math.Max(floor, y)
				if !(height[side] >= y) {
					height[side] = y
				}
			}
		}
	}
	var out []Side
	for _, side := range []Side{Left, Right} {
		if y, ok := height[side]; ok && floor-y > liftedShare*s.body {
			out = append(out, side)
		}
	}
	return out
}

// legs are the sides whose leg landed, or may have: from the front, of which both are seen,
// those that are not seen in the air.
func (s *analysis) legs() []Side {
	var out []Side
	for _, side := range []Side{Left, Right} {
		_, landed := s.when.contact[side]
		if landed || s.view == Front && !slices.Contains(s.inAir, side) {
			out = append(out, side)
		}
	}
	if len(s.when.contact) == 0 { // a snap-down without contact
		return []Side{Left, Right}
	}
	return out
}

// events lists the events in order.
func (s *analysis) events() []Event {
	var out []Event
	add := func(name EventName, side Side, at, sd float64) {
		if !math.IsNaN(at) {
			out = append(out, Event{name, side, at, 0, sd})
		}
	}
	w, sds := s.when, s.sds
	frame := 1 / s.fs
	add(DropStart, Both, w.start, 2*frame)
	add(Takeoff, Both, w.liftOff, sds.jump)
	for _, side := range []Side{Left, Right} {
		if c, ok := w.contact[side]; ok {
			add(InitialContact, side, c, sds.contact[side])
		}
	}
	add(Lowest, Both, w.lowest, frame)
	add(Takeoff, Both, w.rebound, sds.jump)
	add(LandingAgain, Both, w.nextContact, sds.jump)
	add(StillFrom, Both, w.still, sds.still)
	add(HoldEnd, Both, w.holdEnd, sds.holdEnd)
	slices.SortStableFunc(out, func(a, b Event) int {
		switch {
		case a.TimeS < b.TimeS:
			return -1
		case a.TimeS > b.TimeS:
			return 1
		}
		return 0
	})
	return out
}
