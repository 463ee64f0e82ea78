package kinematics

import "math"

// detect finds when what happens in a prepared track. Its error is a *NoLandingError, or a
// *TrackError where the athlete is not seen as the view says.
func detect(p prepared) (*analysis, error) {
	if len(longest(p.middle(p.light, Hip).y)) < int(0.3*p.fs) {
		return nil, badTrack(TrackHipsBrief)
	}
	s := &analysis{motion: p.motion, opt: p.opt, when: noEvents(), sds: p.eventSDs(), swayed: p.slowHips()}
	if err := s.findLanding(p.stood.body); err != nil {
		return nil, err
	}
	var err error
	if s.standing, err = p.stand(s.when.start, s.when.from()); err != nil {
		return nil, err
	}
	if err := s.findRest(); err != nil {
		return nil, err
	}
	s.inAir, s.airFrom = s.lifted(), s.flightFrom()
	return s, s.facing()
}

// noEvents are events none of which was seen.
func noEvents() eventTimes {
	nan := math.NaN()
	return eventTimes{
		contact: map[Side]float64{}, toe: map[Side]float64{}, heel: map[Side]float64{},
		first: nan, still: nan, holdEnd: nan, liftOff: nan, rebound: nan, nextContact: nan,
	}
}

// eventSDs are those that no point of this track tells.
func (m *motion) eventSDs() eventSDs {
	return eventSDs{
		contact: map[Side]float64{}, toe: map[Side]float64{}, heel: map[Side]float64{},
		jump: jumpSDFrames / m.fs, still: holdSDS, holdEnd: holdSDS,
	}
}

// findLanding finds the landing that the task is about, for an athlete about body px tall, its feet,
// its start, and the jumps before and after.
func (s *analysis) findLanding(body float64) error {
	w, all := &s.when, s.landings(body)
	switch {
	case len(all) > 0:
		l := choose(all, s.opt.Task)
		s.feet, w.first = l.feet, l.first().timeS
		w.start = s.dropStart(w.first, body)
		s.jumpTimes(w, &s.sds, s.feet, body)
	case s.opt.Task.Grounded():
		var err error
		if w.start, err = s.tallest(body); err != nil {
			return err
		}
	default:
		return s.whyNoLanding(body)
	}
	if s.opt.Task.Grounded() && len(all) > 0 {
		w.start = s.tallestBefore(w.first)
	}
	for _, f := range s.feet {
		w.contact[f.side], s.sds.contact[f.side] = f.timeS, f.sdS
		s.footEnds(w, &s.sds, f, body)
	}
	return nil
}

// findRest finds the lowest point and the hold after it.
func (s *analysis) findRest() error {
	w, end := &s.when, s.time(s.n-1)
	until, last := w.from()+1, end
	if !math.IsNaN(w.rebound) {
		until, last = w.rebound, w.rebound
	}
	if w.lowest, _ = s.lowest(s.middle(s.pos, Hip), w.from(), math.Min(until, end)); math.IsNaN(w.lowest) {
		return noLanding(NoLandingLowestLost)
	}
	if last-w.lowest < 2/s.fs {
		return noLanding(NoLandingClipEnds)
	}
	s.hold = s.findHold(w.lowest, last, s.feet, s.body)
	w.still, w.holdEnd = s.hold.from, s.hold.to
	if s.hold.ending.open() {
		s.sds.holdEnd = 1 / s.fs / math.Sqrt(12) // the last frame, a frame long
	}
	return nil
}

// choose picks the landing that the task is about: the first of a drop jump or
// of repeated jumps, else the one the hips fall into fastest.
func choose(all []landed, task Task) landed {
	if task.rebounds() {
		return all[0]
	}
	best := all[0]
	for _, l := range all[1:] {
		if l.fall > best.fall {
			best = l
		}
	}
	return best
}

// whyNoLanding looks for the plainest reason that there is none.
func (m *motion) whyNoLanding(body float64) error {
	hip := m.middle(m.light, Hip)
	if !m.has(On(Left, Toe)) && !m.has(On(Right, Toe)) && !m.has(On(Left, Ankle)) && !m.has(On(Right, Ankle)) {
		return noLanding(NoLandingNoFoot)
	}
	if k := m.slowLanding(body); k > 1 {
		n := slowMotion(k, m.fs)
		return &NoLandingError{refused(NoLandingSlowMotion, n.Hint, n.Args...)}
	}
	if len(m.footfalls(body)) > 0 {
		return noLanding(NoLandingRunsOn)
	}
	speed := derivative(hip.y, m.fs)
	edge := int(0.15 * m.fs)
	if quantile(speed[:edge], 0.9) > hipFall*body || quantile(speed[:edge], 0.1) < -0.06*body {
		return noLanding(NoLandingStartsLate)
	}
	if v := quantile(speed[m.n-edge:], 0.9); v > hipFall*body {
		return noLanding(NoLandingEndsInAir)
	}
	if quantile(speed, 0.99) < hipFall*body {
		return &NoLandingError{refused(NoLandingNoFall, HintRightClip, math.Max(quantile(speed, 0.99)/body, 0), hipFall)}
	}
	return noLanding(NoLandingNoRest)
}

// dropStart is when the hips start the fall that ends at contact: the last time
// before it that their speed is under 0.06 body heights a second (0.1 m/s).
func (m *motion) dropStart(contact, body float64) float64 {
	hip := m.middle(m.pos, Hip)
	speed := derivative(hip.y, m.fs)
	for i := m.near(contact); i > 0; i-- {
		if speed[i] < 0.06*body {
			return m.time(i)
		}
	}
	return m.time(0)
}

// lowest is the time and height (px) of the lowest hips in [from, to], to a
// fraction of a frame by a parabola through the three lowest samples.
func (m *motion) lowest(hip path, from, to float64) (t, y float64) {
	a, b := m.span(from, to)
	best := -1
	for i := a; i <= b; i++ {
		if !math.IsNaN(hip.y[i]) && (best < 0 || hip.y[i] > hip.y[best]) {
			best = i
		}
	}
	if best < 0 {
		return math.NaN(), math.NaN()
	}
	t, y = m.time(best), hip.y[best]
	if best > a && best < b {
		p, c, n := hip.y[best-1], hip.y[best], hip.y[best+1]
		if bend := p - 2*c + n; bend < 0 {
			d := (p - n) / (2 * bend)
			t, y = t+d/m.fs, c-(p-n)*d/4
		}
	}
	return t, y
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
			w.rebound, w.nextContact = rebound, t
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

// Shoulders and hips together are as wide as the trunk is long times 1.55 from the front
// (Drillis and Contini 1966), and that times the cosine of the turn where the athlete is turned.
const (
	leastFrontWidth = 0.45
	mostSideWidth   = 1.25
)

// facing returns an error where the athlete lands turned to the camera otherwise than the view
// says. People turn round before and after.
func (s *analysis) facing() error {
	sl, sr, hl, hr := s.pos[On(Left, Shoulder)], s.pos[On(Right, Shoulder)], s.pos[On(Left, Hip)], s.pos[On(Right, Hip)]
	if !s.has(On(Left, Shoulder), On(Right, Shoulder), On(Left, Hip), On(Right, Hip)) {
		return nil // nor is anything that takes both told
	}
	from, to := s.span(s.when.from()-0.1, s.when.lowest+0.1)
	var order, width []float64
	for i := from; i <= to; i++ {
		shoulders, hips := sl.x[i]-sr.x[i], hl.x[i]-hr.x[i]
		trunk := (sl.at(i).to(hl.at(i)) + sr.at(i).to(hr.at(i))) / 2
		order = append(order, shoulders+hips)
		width = append(width, (math.Abs(shoulders)+math.Abs(hips))/trunk)
	}
	switch wide := median(width); {
	case s.view == Front && wide < leastFrontWidth:
		return badTrack(TrackSeenFromSide)
	case s.view.IsSide() && wide > mostSideWidth:
		return badTrack(TrackSeenFromFront)
	case s.view == Front && median(order) < 0:
		return &TrackError{refused(TrackSidesSwapped, HintMirrored)}
	}
	return nil
}
