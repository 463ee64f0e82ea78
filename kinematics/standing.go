package kinematics

import "math"

// standing is the standing calibration, the athlete standing tall: its size sets every threshold
// that has no unit of its own.
type standing struct {
	body  float64 // stature at the landing place, px
	hip   float64 // height of the hips above the floor at the landing place, px
	hipSD float64 // of what may differ between standing and landing in that
	leans float64 // of shoulders over ankles, standing, degrees to the right of the picture
	trunk float64 // its length standing, px where the athlete stood; 0 unseen
	grow  float64 // px at the landing place for one px where the athlete stood
	rel   float64 // relative standard deviation of body, stature's own aside
	thigh map[Side]float64
	shank map[Side]float64 // lengths while standing, px where the athlete stood
	legSD map[Side]float64 // of those lengths
	found bool             // false: no tall standing was seen, sizes are from the segments
	stood float64          // a time at which the athlete stands tall, s
}

// The relative standard deviations of the standing calibration.
const (
	// shareSD is how much the shoulder-to-ankle share of stature (.779) differs
	// between people and between joint centres and what is placed: 3.5 %,
	// calibrated on the clips with exact truth (they read 2.9 to 4.6 % low).
	shareSD = 0.035
	// growSD is what the growth of a person who lands nearer the camera is known
	// to from widths and trunk length.
	growSD = 0.02
	// segmentSD is for a stature summed from bent segments.
	segmentSD = 0.08
)

// stand measures the standing calibration. before is the time up to which the athlete may be
// looked at standing, at a time at the landing place.
func (m *motion) stand(before, at float64) (standing, error) {
	s := standing{grow: 1, thigh: map[Side]float64{}, shank: map[Side]float64{}, legSD: map[Side]float64{}}
	sh, hip, ank := m.middle(m.pos, Shoulder), m.middle(m.pos, Hip), m.middle(m.pos, Ankle)
	if hip.y == nil || ank.y == nil {
		return s, badTrack(TrackHipsAbsent)
	}
	top, share := sh, shoulderHeight-ankleHeight
	if sh.y == nil {
		top, share = hip, hipHeight-ankleHeight
	}
	tall := m.tallSamples(top, ank, before)
	if len(tall) == 0 {
		tall = m.tallSamples(top, ank, math.Inf(1))
	}
	if len(tall) == 0 {
		return s, badTrack(TrackHipsApart)
	}
	s.found = m.time(tall[0]) < before
	s.stood = m.time(tall[len(tall)/2])
	s.grow = m.growth(tall, at)
	pick := func(f func(i int) float64) float64 {
		var v []float64
		for _, i := range tall {
			v = append(v, f(i))
		}
		return median(v)
	}
	s.body = pick(func(i int) float64 { return ank.y[i] - top.y[i] }) / share * s.grow
	s.hip = pick(func(i int) float64 { return ank.y[i] - hip.y[i] })*s.grow + ankleHeight*s.body
	if sh.y != nil {
		s.trunk = pick(func(i int) float64 { return sh.at(i).to(hip.at(i)) })
		s.leans = pick(func(i int) float64 { return lean(ank.at(i), sh.at(i)) })
	}
	lasting := math.Sqrt(ar1Share) * pick(func(i int) float64 { return math.Hypot(m.sdOf(Hip, i), m.sdOf(Ankle, i)) })
	s.hipSD = math.Hypot(lasting, growSD*s.hip)
	if m.view != Front {
		s.hipSD = lasting
	}
	s.rel = math.Hypot(shareSD, growSD)
	if !s.found {
		s.rel = segmentSD
	}
	for _, side := range []Side{Left, Right} {
		if h, k, a := On(side, Hip), On(side, Knee), On(side, Ankle); m.has(h, k, a) {
			s.thigh[side], s.shank[side], s.legSD[side] = m.legLengths(tall, h, k, a)
		}
	}
	if !(s.body > 0) {
		return s, badTrack(TrackUpsideDown)
	}
	return s, nil
}

// sdOf is the standard deviation of the middle of a part at a sample, px, where both sides
// err alike.
func (m *motion) sdOf(p Part, i int) float64 {
	if near := m.view.Near(); near != Both {
		if sd, ok := m.sd[On(near, p)]; ok {
			return sd[i]
		}
		return valueAt(m.sd[On(near.Other(), p)], float64(i))
	}
	l, okL := m.sd[On(Left, p)]
	r, okR := m.sd[On(Right, p)]
	switch {
	case !okL:
		return valueAt(r, float64(i))
	case !okR:
		return l[i]
	}
	return (l[i] + r[i]) / 2
}

// legLengths are the lengths of thigh and shank over the samples at which the leg
// is known best, px, and the standard deviation of each.
func (m *motion) legLengths(tall []int, h, k, a Landmark) (thigh, shank, sd float64) {
	all := func(i int) float64 { return m.sd[h][i] + m.sd[k][i] + m.sd[a][i] }
	least := math.Inf(1)
	for _, i := range tall {
		if v := all(i); v < least {
			least = v
		}
	}
	var t, s []float64
	for _, i := range tall {
		if all(i) <= 1.2*least {
			t, s = append(t, m.pos[h].at(i).to(m.pos[k].at(i))), append(s, m.pos[k].at(i).to(m.pos[a].at(i)))
		}
	}
	return median(t), median(s), least / 3 * 1.2 // the part of the error that stays is in the bent leg too
}

// tallSamples are the samples before a time at which top is within 2 % of its
// greatest height over the ankles, and moving little.
func (m *motion) tallSamples(top, ank path, before float64) []int {
	height := make([]float64, m.n)
	for i := range height {
		height[i] = math.NaN()
		if m.time(i) <= before {
			height[i] = ank.y[i] - top.y[i]
		}
	}
	speed := derivative(smooth(top.y, 4, m.fs), m.fs)
	slow := make([]float64, m.n)
	for i := range slow {
		slow[i] = math.NaN()
		if math.Abs(speed[i]) < 0.1*height[i] {
			slow[i] = height[i]
		}
	}
	if len(seen(slow)) < 5 {
		slow = height
	}
	most := quantile(slow, 0.95)
	var out []int
	for i, h := range slow {
		if h > 0.98*most {
			out = append(out, i)
		}
	}
	return out
}

// growth is how much larger the athlete appears at time at than while standing:
// stepping off a box half a metre towards the camera adds 10 to 12 %. It is told
// by the widths of the hips and the length of the trunk; a side view has none.
func (m *motion) growth(tall []int, at float64) float64 {
	if m.view != Front || !m.has(On(Left, Hip), On(Right, Hip)) {
		return 1
	}
	sh, hip := m.middle(m.pos, Shoulder), m.middle(m.pos, Hip)
	width := func(i int) float64 { return m.pos[On(Left, Hip)].at(i).to(m.pos[On(Right, Hip)].at(i)) }
	trunk := func(i int) float64 {
		if sh.x == nil {
			return math.NaN()
		}
		return sh.at(i).to(hip.at(i))
	}
	ratio := func(f func(int) float64) float64 {
		var was, is []float64
		for _, i := range tall {
			was = append(was, f(i))
		}
		from, to := m.span(at-0.05, at+0.05)
		for i := from; i <= to; i++ {
			is = append(is, f(i))
		}
		return median(is) / median(was)
	}
	g := mean([]float64{ratio(width), ratio(trunk)})
	if math.IsNaN(g) {
		return 1
	}
	return math.Min(math.Max(g, 0.8), 1.35)
}
