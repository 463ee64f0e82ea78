package kinematics

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
)

// Options say what was asked of the athlete and what is known of them. Their names in JSON are
// those that archives hold, whatever the fields are called.
type Options struct {
	Task       Task         `json:"Task"`
	Limb       Side         `json:"Limb"`      // the leg that was asked for: Left, Right, or Both for two feet or as seen
	StatureCM  float64      `json:"StatureCM"` // 0: not known
	Length     *KnownLength `json:"Length"`
	CaptureFPS float64      `json:"CaptureFPS"` // rate a slow-motion export was filmed at; 0: times are true
	NominalFPS float64      `json:"NominalFPS"` // rate the export plays at; 0: told from the times
	Mirrored   bool         `json:"Mirrored"`   // the clip is a mirror image (selfie camera)
	Plumb      *Plumb       `json:"Plumb"`      // an upright line of the picture, in the clip as it is
	BoxCM      float64      `json:"BoxCM"`      // height of the box dropped from; 0: not known
	SquareDeg  float64      `json:"SquareDeg"`  // how squarely the front camera was set to a line on the floor, one sd; 0: not known
	Seed       uint64       `json:"Seed"`       // of the disturbances; the same seed gives the same numbers
}

// Sample is one value of a curve; OK is false where it was not seen.
type Sample struct {
	V  float64
	OK bool
}

// Curve is a quantity over time, with a standard deviation for each sample.
type Curve struct {
	Name string
	Unit string
	V    []Sample // one for each time of the landing
	SD   []float64
}

// Landing is everything that was measured in one view of one landing.
type Landing struct {
	View     View
	Task     Task
	Feet     []Side // that landed; empty in a snap-down without contact
	Lifted   []Side // feet seen in the air just after contact
	RateHz   float64
	Scale    Scale
	Gravity  GravityCheck
	Events   []Event
	Measures []Measure
	Missing  []Missing
	TimeS    []float64
	Curves   []Curve
	Bounds   []Bound // contacts the athlete jumped on from, of repeated jumps
	Ending   HoldEnding
	Cutoffs  map[Landmark][2]float64 // Hz of x and y
	YawSDDeg float64                 // part of each leg's FPPA; 0 in side views
	Doubt    *Note                   // why nothing that rests on times or lengths is told; nil where it is
	Notes    []Note                  // caveats
}

// Measure returns the measure of that name and side.
func (l Landing) Measure(name string, side Side) (Measure, bool) {
	for _, m := range l.Measures {
		if m.Name == name && m.Side == side {
			return m, true
		}
	}
	return Measure{}, false
}

// Event returns the first event of that name, of either side.
func (l Landing) Event(name EventName) (Event, bool) {
	for _, e := range l.Events {
		if e.Name == name {
			return e, true
		}
	}
	return Event{}, false
}

// Derive measures the landing in a track. A *NoLandingError says that nobody
// lands in it and why; other errors say what is wrong with the track.
func Derive(t Track, opt Options) (Landing, error) {
	if err := t.Check(); err != nil {
		return Landing{}, err
	}
	t, notes, err := plausible(t.as(opt))
	if err != nil {
		return Landing{}, err
	}
	m, err := newMotion(t)
	if err != nil {
		return Landing{}, err
	}
	s, feet, hd, sds, err := m.analyse(opt)
	if err != nil {
		return Landing{}, err
	}
	if err := s.facing(); err != nil {
		return Landing{}, err
	}
	out := Landing{View: t.View, Task: opt.Task, RateHz: m.fs, Ending: hd.ending, Cutoffs: m.cutoff, Notes: notes}
	for _, f := range feet {
		out.Feet = append(out.Feet, f.side)
	}
	var differ []Note
	s.airFrom = s.flightFrom(feet)
	s.sc, out.Gravity, out.Doubt, differ = s.timeBase()
	out.Notes = append(out.Notes, differ...)
	if !s.found {
		out.Notes = append(out.Notes, warning(NoteStandingUnseen, HintFilmStanding))
	}
	if t.View == Front {
		out.YawSDDeg = s.yawSD()
	}
	out.Scale = s.sc
	out.measure(s, sds, opt.Seed)
	out.withhold()
	out.heightsNote()
	if opt.Task == RepeatedJumps {
		out.setBounds(m.bounds(s.body))
	}
	out.Events = s.events(sds)
	out.curves(s)
	out.nameFrames(t)
	if at, ok := s.feetCross(); ok {
		out.Notes = append(out.Notes, warning(NoteFeetCross, HintCheckPoints, at))
	}
	out.Lifted = s.inAir
	out.Notes = append(out.Notes, s.cameraNotes()...)
	if s.kneeLeftPlane() {
		out.Notes = append(out.Notes, warning(NoteKneeLeftPlane, ""))
	}
	out.ofView()
	return out, nil
}

// ofView has all notes of the landing name its view.
func (l *Landing) ofView() {
	for i := range l.Notes {
		l.Notes[i].View = l.View
	}
	if l.Doubt != nil {
		l.Doubt.View = l.View
	}
}

// as is the track as a camera held upright would have filmed it, at true speed and not in a mirror.
func (t Track) as(opt Options) Track {
	t = retime(t, opt)
	if opt.Plumb != nil {
		t = t.turned(opt.Plumb.RollDeg())
	}
	if opt.Mirrored {
		t = t.reflected()
	}
	return t
}

// retime turns the times of a slow-motion export into true ones.
func retime(t Track, opt Options) Track {
	if opt.CaptureFPS <= 0 || len(t.TimeS) < 2 {
		return t
	}
	plays := opt.NominalFPS
	if plays <= 0 {
		plays = 1 / median(derivativeTimes(t.TimeS))
	}
	k := plays / opt.CaptureFPS
	times := make([]float64, len(t.TimeS))
	for i, v := range t.TimeS {
		times[i] = v * k
	}
	t.TimeS = times
	return t
}

// jumpSDFrames is how well take-offs, and the landing between two jumps, are known, in
// frames: from simulated jumps.
const jumpSDFrames = 0.38

// holdSDS is how well the start and the end of a hold are known apart from noise, s:
// from the clips with exact truth, 0.06 to 0.10.
const holdSDS = 0.085

// analyse finds the standing calibration, the landing and its events.
func (m *motion) analyse(opt Options) (*analysis, []footContact, hold, eventSDs, error) {
	fail := func(err error) (*analysis, []footContact, hold, eventSDs, error) {
		return nil, nil, hold{}, eventSDs{}, err
	}
	// A first look, without knowing when the landing is, sizes the thresholds.
	st, err := m.stand(math.Inf(1), m.time(m.n-1))
	if err != nil {
		return fail(err)
	}
	if len(longest(m.middle(m.light, Hip).y)) < int(0.3*m.fs) {
		return fail(badTrack(TrackHipsBrief))
	}
	w := eventTimes{
		contact: map[Side]float64{}, toe: map[Side]float64{}, heel: map[Side]float64{},
		first: math.NaN(), still: math.NaN(), holdEnd: math.NaN(), liftOff: math.NaN(), rebound: math.NaN(), again: math.NaN(),
	}
	sds := eventSDs{contact: map[Side]float64{}, toe: map[Side]float64{}, heel: map[Side]float64{}, jump: jumpSDFrames / m.fs, still: holdSDS, holdEnd: holdSDS}
	all := m.landings(st.body)
	var feet []footContact
	switch {
	case len(all) > 0:
		l := choose(all, opt.Task)
		feet = l.feet
		w.first = l.first().timeS
		w.start = m.dropStart(w.first, st.body)
		m.jumpTimes(&w, &sds, feet, st.body)
	case opt.Task == SnapDown:
		if w.start, err = m.tallest(st.body); err != nil {
			return fail(err)
		}
	default:
		return fail(m.whyNoLanding(st.body))
	}
	if opt.Task == SnapDown && len(all) > 0 {
		w.start = m.tallestBefore(w.first)
	}
	for _, f := range feet {
		w.contact[f.side], sds.contact[f.side] = f.timeS, f.sdS
		m.footEnds(&w, &sds, f, st.body)
	}
	if st, err = m.stand(w.start, w.from()); err != nil {
		return fail(err)
	}
	hip := m.middle(m.pos, Hip)
	until := w.from() + 1
	if !math.IsNaN(w.rebound) {
		until = w.rebound
	}
	if w.lowest, _ = m.lowest(hip, w.from(), math.Min(until, m.time(m.n-1))); math.IsNaN(w.lowest) {
		return fail(noLanding(NoLandingLowestLost))
	}
	last := m.time(m.n - 1)
	if !math.IsNaN(w.rebound) {
		last = w.rebound
	}
	if last-w.lowest < 2/m.fs {
		return fail(noLanding(NoLandingClipEnds))
	}
	hd := m.findHold(w.lowest, last, feet, st.body)
	w.still, w.holdEnd = hd.from, hd.to
	if hd.ending.open() {
		sds.holdEnd = 1 / m.fs / math.Sqrt(12) // the last frame, a frame long
	}
	s := &analysis{motion: m, standing: st, opt: opt, when: w, hold: hd, swayed: m.sway()}
	s.inAir = s.lifted()
	return s, feet, hd, sds, nil
}

// footEnds times toe and heel of a landing foot by themselves.
func (m *motion) footEnds(w *eventTimes, sds *eventSDs, f footContact, body float64) {
	for part, at := range map[Part]struct{ t, sd map[Side]float64 }{Toe: {w.toe, sds.toe}, Heel: {w.heel, sds.heel}} {
		_, ok := m.raw[On(f.side, part)]
		if !ok {
			continue
		}
		for _, t := range contactsOf(m.heights(On(f.side, part)), m.grid, body) {
			if math.Abs(t.timeS-f.timeS) < 0.2 {
				at.t[f.side], at.sd[f.side] = t.timeS, t.sdS
			}
		}
	}
}

// jumpTimes finds the take-off before the landing, and the take-off and landing
// after it where the athlete jumps on. A foot is off for good only when both are.
func (m *motion) jumpTimes(w *eventTimes, sds *eventSDs, feet []footContact, body float64) {
	last := func(before, after float64, of func(Side) []footContact) float64 {
		t := math.NaN()
		for _, f := range feet {
			for _, e := range of(f.side) {
				if e.timeS > after && e.timeS < before && !(e.timeS <= t) {
					t = e.timeS
					sds.jump = math.Max(sds.jump, e.sdS)
				}
			}
		}
		return t
	}
	lift := func(s Side) []footContact { return m.footLiftoffs(s, body) }
	w.liftOff = last(w.first-0.08, w.first-1.2, lift)
	earliest := math.Inf(1)
	for _, f := range feet {
		for _, e := range lift(f.side) {
			if e.timeS > w.first+0.05 {
				earliest = math.Min(earliest, e.timeS)
			}
		}
	}
	if math.IsInf(earliest, 1) {
		return
	}
	rebound := last(earliest+contactGap, w.first+0.05, lift)
	for _, l := range m.landings(body) {
		if t := l.first().timeS; t > rebound+0.08 && t < rebound+1.2 {
			w.rebound, w.again = rebound, t
			return
		}
	}
}

// tallest is the instant the hips are highest before they go down fastest.
func (m *motion) tallest(body float64) (float64, error) {
	hip := m.middle(m.pos, Hip)
	v := derivative(hip.y, m.fs)
	fast := -1
	for i := range v {
		if !math.IsNaN(v[i]) && (fast < 0 || v[i] > v[fast]) {
			fast = i
		}
	}
	if fast < 0 || v[fast] < hipFall*body {
		return 0, m.whyNoLanding(body)
	}
	return m.tallestBefore(m.time(fast)), nil
}

func (m *motion) tallestBefore(t float64) float64 {
	hip := m.middle(m.pos, Hip)
	best := m.near(t)
	for i := best; i >= 0 && m.time(i) > t-1; i-- {
		if hip.y[i] < hip.y[best] {
			best = i
		}
	}
	return m.time(best)
}

// flightFrom is when the last landing foot had left what it stood on.
func (s *analysis) flightFrom(feet []footContact) float64 {
	if !math.IsNaN(s.when.liftOff) {
		return s.when.liftOff
	}
	off := math.NaN()
	near := s.view.Near()
	for _, f := range feet {
		if near != Both && f.side != near && len(feet) > 1 {
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

// crossingS is how long after the lowest point crossing feet are looked for at least.
const crossingS = 1.0

// feetCross tells whether, from contact to the end of the hold, the left ankle is seen
// right of the right one as the athlete has them, and when first.
func (s *analysis) feetCross() (at float64, ok bool) {
	l, r := On(Left, Ankle), On(Right, Ankle)
	if s.view != Front || !s.has(l, r) {
		return 0, false
	}
	end := s.when.lowest + crossingS
	if s.when.holdEnd > end {
		end = s.when.holdEnd
	}
	from, to := s.span(s.when.from(), end)
	crossed := 0
	for i := from; i <= to; i++ {
		if s.pos[l].x[i] < s.pos[r].x[i]-math.Hypot(s.sd[l][i], s.sd[r][i]) {
			crossed++
		}
		if crossed == 3 {
			return s.time(i), true
		}
	}
	return 0, false
}

func (s *analysis) kneeLeftPlane() bool {
	near := s.view.Near()
	if near == Both || !s.has(On(near, Hip), On(near, Knee), On(near, Ankle)) {
		return false
	}
	return s.outOfPlane(near, s.near(s.when.lowest)) > 0.5
}

// take takes all measures of the view.
func (s *analysis) take() []value {
	hip := s.middle(s.pos, Hip)
	var out []value
	if s.view == Front {
		out = s.frontMeasures()
	} else {
		out = s.sideMeasures()
	}
	out = append(out, s.depthMeasures(hip)...)
	out = append(out, s.holdMeasures(s.sway(hip))...)
	out = append(out, s.pullMeasures(hip)...)
	return append(out, s.jumpMeasures()...)
}

// measure takes the measures once as they are and drawCount times disturbed.
func (l *Landing) measure(s *analysis, sds eventSDs, seed uint64) {
	base := s.take()
	draws := make([][]float64, len(base))
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
	drawn := make(chan draw)
	workers := runtime.GOMAXPROCS(0)
	free := make(chan *scratch, workers+1)
	free <- new(scratch)
	var measuring sync.WaitGroup
	for range workers {
		free <- new(scratch)
		measuring.Go(func() {
			for d := range drawn {
				for i, v := range d.s.take() {
					draws[i][d.k] += v.v
				}
				free <- d.s.scratch
			}
		})
	}
	for k := range drawCount {
		d := s.disturbed(rng, sds, l.YawSDDeg, lags, <-free)
		for i, v := range base {
			if v.own > 0 {
				draws[i][k] = v.own * rng.NormFloat64()
			}
		}
		drawn <- draw{k, d}
	}
	close(drawn)
	measuring.Wait()
	for i, v := range base {
		if math.IsNaN(v.v) || math.IsInf(v.v, 0) {
			l.Missing = append(l.Missing, Missing{v.name, v.side, l.View, *info(v.why)})
			continue
		}
		clean, taken := fillDraws(draws[i], v.v)
		if taken < drawCount/2 {
			l.Missing = append(l.Missing, Missing{v.name, v.side, l.View, *info(NoteUnsurePoints)})
			continue
		}
		var sd float64
		v.v, sd = withoutNoise(clean, v.v, v.grows)
		l.Measures = append(l.Measures, Measure{
			Name: v.name, Side: v.side, Value: v.v, SD: sd, Unit: v.unit,
			View: s.view, TimeS: v.t, Draws: clean,
			AtLeast: v.atLeast,
		})
	}
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

// spread is the standard deviation of the draws about their mean; a value that no
// disturbance moves is still known to no better than its print.
func spread(d []float64, v float64) float64 {
	m := mean(d)
	var sum float64
	for _, x := range d {
		sum += sq(x - m)
	}
	return math.Max(math.Sqrt(sum/float64(len(d)-1)), 1e-6*math.Max(1, math.Abs(v)))
}

// nameFrames gives every event and measure the clip's frame nearest to it.
func (l *Landing) nameFrames(t Track) {
	nearest := func(at float64) int {
		i, _ := slices.BinarySearch(t.TimeS, at)
		if i == len(t.TimeS) || (i > 0 && at-t.TimeS[i-1] < t.TimeS[i]-at) {
			i--
		}
		return t.Frame[i]
	}
	for i := range l.Events {
		l.Events[i].Frame = nearest(l.Events[i].TimeS)
	}
	for i := range l.Measures {
		l.Measures[i].Frame = nearest(l.Measures[i].TimeS)
	}
}

// events lists the events in order.
func (s *analysis) events(sds eventSDs) []Event {
	var out []Event
	add := func(name EventName, side Side, at, sd float64) {
		if !math.IsNaN(at) {
			out = append(out, Event{name, side, at, 0, sd})
		}
	}
	w := s.when
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
	add(LandingAgain, Both, w.again, sds.jump)
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

// curves are the quantities over time that reports draw.
func (l *Landing) curves(s *analysis) {
	for i := range s.n {
		l.TimeS = append(l.TimeS, s.time(i))
	}
	add := func(name, unit string, c curve, sd func(i int) float64) {
		k := Curve{Name: name, Unit: unit}
		for i, v := range c {
			e := sd(i)
			ok := !math.IsNaN(v) && !math.IsInf(v, 0) && !math.IsNaN(e) && !math.IsInf(e, 0)
			if !ok {
				v, e = 0, 0
			}
			k.V, k.SD = append(k.V, Sample{v, ok}), append(k.SD, e)
		}
		l.Curves = append(l.Curves, k)
	}
	for _, side := range []Side{Left, Right} {
		if !s.has(On(side, Hip), On(side, Knee), On(side, Ankle)) {
			continue
		}
		sd := s.kneeSD(side)
		switch {
		case l.View == Front:
			thigh, shank := s.sideTan(side, Hip, Knee, s.thigh[side]), s.sideTan(side, Knee, Ankle, s.shank[side])
			add(string(side)+"_fppa_deg", unitDeg, s.fppaCurve(side, s.pos), func(i int) float64 {
				return math.Hypot(sd(i), l.YawSDDeg*(thigh(i)+shank(i)))
			})
		case side == l.View.Near():
			add(string(side)+"_knee_flexion_deg", unitDeg, s.kneeFlexion(side, s.pos), sd)
		}
	}
	if s.sc.Known() {
		hip, ank := s.middle(s.pos, Hip), s.middle(s.pos, Ankle)
		floor := median(ank.y[s.near(s.when.lowest):s.near(s.when.settled())+1]) + ankleHeight*s.body
		add("hip_height_cm", unitCM, s.newCurve(func(i int) float64 { return s.cm(floor - hip.y[i]) }), func(i int) float64 {
			return math.Hypot(s.cm(s.sdOf(Hip, i)), s.sc.SD*math.Abs(floor-hip.y[i]))
		})
		if a, b := s.span(s.when.still, s.when.holdEnd); !math.IsNaN(s.when.still) && a <= b {
			stood := median(hip.x[a : b+1])
			near := func(i int) float64 { return s.cm(s.sdOf(Hip, i)) }
			add("hip_across_cm", unitCM, s.newCurve(func(i int) float64 { return s.cm(hip.x[i] - stood) }), near)
			sway := s.sway(hip) // the hold alone: what hold_ellipse is the ellipse of
			mid := [2]float64{median(sway.x[a : b+1]), median(sway.y[a : b+1])}
			held := func(v func(i int) float64) curve {
				return s.newCurve(func(i int) float64 {
					if i < a || i > b {
						return math.NaN()
					}
					return s.cm(v(i))
				})
			}
			add("hold_across_cm", unitCM, held(func(i int) float64 { return sway.x[i] - mid[0] }), near)
			add("hold_up_cm", unitCM, held(func(i int) float64 { return mid[1] - sway.y[i] }), near)
		}
	}
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
