package kinematics

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// motion is a track on a uniform grid. raw is only resampled; light keeps fast
// motion for values at contact; pos is filtered for everything else. sd is the
// standard deviation of each point. The maps hold only landmarks that are seen.
type motion struct {
	view          View
	width, height int // of the picture, px
	grid
	raw, light, pos map[Landmark]path
	sd              map[Landmark][]float64
	onFrame         map[Landmark][]bool     // whether a sample is from a frame, and not bridged
	cutoff          map[Landmark][2]float64 // Hz of x and y, as chosen
	noise           map[Landmark]float64    // px, of single frames
	scratch         *scratch                // of a draw; nil where nothing is used again
}

// scratch is room for what is worked out in one draw and forgotten with it: fresh memory for
// each of hundreds of draws would cost more than the arithmetic.
type scratch struct {
	buffers [][]float64 // all of one length
	used    int
}

// buffer is room for a number at each sample. What stands in it must be overwritten.
func (m *motion) buffer() []float64 {
	r := m.scratch
	if r == nil {
		return make([]float64, m.n)
	}
	if r.used == len(r.buffers) {
		r.buffers = append(r.buffers, make([]float64, m.n))
	}
	r.used++
	return r.buffers[r.used-1]
}

// minMotionS is the shortest track that is worth looking at.
const minMotionS = 0.5

// newMotion puts a checked track on a uniform grid at its median rate and
// filters it.
func newMotion(t Track) (*motion, error) {
	if len(t.TimeS) < 10 || t.TimeS[len(t.TimeS)-1]-t.TimeS[0] < minMotionS {
		return nil, badTrack(TrackTooShort)
	}
	gaps := derivativeTimes(t.TimeS)
	fs := 1 / median(gaps)
	if longest := floats.Max(gaps); longest > longestGapS || fs > mostRate {
		return nil, badTrack(TrackTimesWrong, fs, longest)
	}
	if fs >= leastTrueRate {
		return motionAt(t, fs), nil
	}
	return nil, badTrack(TrackTooFewFrames, fs)
}

// What times can be right: phones film at up to 960 Hz, special cameras at a few thousand,
// and who is not seen for longer than a minute is cut out of a clip.
const (
	mostRate    = 5000 // Hz
	longestGapS = 60
)

// leastTrueRate is the least rate at which a landing is seen, Hz; a slow-motion export
// may seem to have less.
const leastTrueRate = 20

func motionAt(t Track, fs float64) *motion {
	g := grid{t0: t.TimeS[0], fs: fs}
	g.n = int(math.Floor((t.TimeS[len(t.TimeS)-1]-g.t0)*fs+1e-6)) + 1
	m := &motion{
		view: t.View, width: t.Width, height: t.Height, grid: g,
		raw: map[Landmark]path{}, light: map[Landmark]path{}, pos: map[Landmark]path{},
		sd: map[Landmark][]float64{}, onFrame: map[Landmark][]bool{}, cutoff: map[Landmark][2]float64{}, noise: map[Landmark]float64{},
	}
	for _, l := range Landmarks() {
		m.add(l, t)
	}
	return m
}

func (m *motion) add(l Landmark, t Track) {
	var x, y, sd []float64
	any := false
	for _, p := range t.Points[l] {
		x, y, sd = append(x, p.X), append(y, p.Y), append(sd, p.SD)
		any = any || p.Seen()
	}
	if !any {
		return
	}
	raw := path{resample(t.TimeS, x, m.grid), resample(t.TimeS, y, m.grid)}
	if len(longest(raw.y)) < 5 {
		return
	}
	top := topCutoff(m.fs)
	fx, nx := residualCutoff(longest(raw.x), m.fs)
	fy, ny := residualCutoff(longest(raw.y), m.fs)
	m.raw[l] = raw
	m.light[l] = path{smooth(raw.x, top, m.fs), smooth(raw.y, top, m.fs)}
	m.pos[l] = path{smooth(raw.x, fx, m.fs), smooth(raw.y, fy, m.fs)}
	m.cutoff[l] = [2]float64{fx, fy}
	m.noise[l] = math.Hypot(nx, ny) / math.Sqrt2
	m.sd[l] = resample(t.TimeS, sd, m.grid)
	m.onFrame[l] = make([]bool, m.n)
	for i, p := range t.Points[l] {
		if p.Seen() {
			m.onFrame[l][m.near(t.TimeS[i])] = true
		}
	}
}

// middle is the mean of a part's left and right where both are seen. In a side
// view it is the near side alone: the far one is hidden half of the time, and a
// mean that changes its members jumps.
func (m *motion) middle(from map[Landmark]path, p Part) path {
	if near := m.view.Near(); near != Both {
		if q, ok := from[On(near, p)]; ok {
			return q
		}
		return from[On(near.Other(), p)]
	}
	l, okL := from[On(Left, p)]
	r, okR := from[On(Right, p)]
	switch {
	case !okL:
		return r
	case !okR:
		return l
	}
	out := path{m.buffer(), m.buffer()}
	for i := range m.n {
		out.x[i], out.y[i] = (l.x[i]+r.x[i])/2, (l.y[i]+r.y[i])/2
	}
	return out
}

// has reports whether all landmarks are seen at some time.
func (m *motion) has(ls ...Landmark) bool {
	for _, l := range ls {
		if _, ok := m.pos[l]; !ok {
			return false
		}
	}
	return true
}

// seen reports whether a quantity is known all the time between two times, but for gaps as
// short as those that are bridged: what happened in a longer one, nobody can say.
func (m *motion) seen(c []float64, from, to float64) bool {
	a, b := m.span(from, to)
	blind := 0
	for i := a; i <= b; i++ {
		if blind++; !math.IsNaN(c[i]) {
			blind = 0
		}
		if float64(blind) > maxBridgeS*m.fs {
			return false
		}
	}
	return true
}

// travel is the mean speed between two times, px/s.
func (m *motion) travel(x []float64, from, to float64) float64 {
	return (valueAt(x, m.position(to)) - valueAt(x, m.position(from))) / (to - from)
}
