package kinematics

import (
	"math"
	"slices"
)

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

// Derive measures the landing in a track. A *NoLandingError says that nobody lands in it and why,
// a *TrackError that the track cannot be measured; other errors say what is wrong with its rows.
func Derive(t Track, opt Options) (Landing, error) {
	p, err := ready(t, opt) // one grid, one filter, a first look at the size
	if err != nil {
		return Landing{}, err
	}
	s, err := detect(p) // when what happens, or why there is no landing
	if err != nil {
		return Landing{}, err
	}
	base := s.timeBase() // the scale, and whether bodies fall under it as they do
	yaw, all := s.yawSD(), s.measures()
	values := s.perturb(all, s.take(all), yaw, opt.Seed)
	return assemble(p, s, base, yaw, all, values), nil
}

// assemble puts together what was told of a landing.
func assemble(p prepared, s *analysis, base timeBase, yaw float64, all []told, values map[key]drawn) Landing {
	l := Landing{
		View: s.view, Task: s.opt.Task, RateHz: s.fs, Scale: s.sc, Gravity: base.gravity, Doubt: base.doubt,
		Ending: s.hold.ending, Cutoffs: s.cutoff, Lifted: s.inAir, YawSDDeg: yaw,
		Events: s.events(), Notes: p.notes,
	}
	for _, f := range s.feet {
		l.Feet = append(l.Feet, f.side)
	}
	l.Notes = append(l.Notes, base.notes...)
	if !s.found {
		l.Notes = append(l.Notes, warning(NoteStandingUnseen, HintFilmStanding))
	}
	for _, m := range all {
		l.add(m, values)
	}
	l.withhold()
	l.heightsNote()
	if s.opt.Task.traits().set {
		l.setBounds(s.bounds(s.body))
	}
	for i := range s.n {
		l.TimeS = append(l.TimeS, s.time(i))
	}
	l.Curves = s.curves(yaw)
	l.nameFrames(p.track)
	l.Notes = append(l.Notes, s.notes()...)
	l.ofView()
	return l
}

// add adds a measure to what was told or, with the reason, to what is missing.
func (l *Landing) add(m told, values map[key]drawn) {
	switch v := values[m.key()]; {
	case v.missing():
		l.miss(m, v.why)
	case v.taken < drawCount/2:
		l.miss(m, NoteUnsurePoints)
	default:
		l.Measures = append(l.Measures, Measure{
			Name: m.Name, Side: m.side, Value: v.v, SD: v.sd, Unit: m.Unit,
			View: l.View, TimeS: v.t, Draws: v.draws, AtLeast: v.atLeast,
		})
	}
}

func (l *Landing) miss(m told, why Code) {
	l.Missing = append(l.Missing, Missing{m.Name, m.side, l.View, *info(why)})
}

// withhold takes back what rests on times and lengths that are in doubt.
func (l *Landing) withhold() {
	if l.Doubt == nil {
		return
	}
	var told []Measure
	for _, m := range l.Measures {
		switch m.Unit {
		case unitCM, unitCM2, unitS, unitMS, unitRSI, unitG:
			l.Missing = append(l.Missing, Missing{m.Name, m.Side, m.View, *info(NoteInDoubt)})
		default:
			told = append(told, m)
		}
	}
	l.Measures = told
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

// heightsNote compares the two heights of a jump, which share no number: from the time in
// the air, put right for the posture, and from the hips.
func (l *Landing) heightsNote() {
	h, okH := l.Measure("jump_height", Both)
	b, okB := l.Measure("posture_bias", Both)
	r, okR := l.Measure("hip_rise", Both)
	if !okH || !okB || !okR {
		return
	}
	if d, sd := h.Value-b.Value-r.Value, math.Sqrt(sq(h.SD)+sq(b.SD)+sq(r.SD)); math.Abs(d) > 2*sd {
		l.Notes = append(l.Notes, warning(NoteHeightsDiffer, HintCheckJump, h.Value-b.Value, math.Hypot(h.SD, b.SD), r.Value, r.SD))
	}
}

// setBounds adds the set of jumps, and how it fades, to what is told.
func (l *Landing) setBounds(bounds []Bound) {
	if l.Doubt != nil {
		l.Missing = append(l.Missing, Missing{"height_fade", Both, l.View, *info(NoteInDoubt)})
		return
	}
	l.Bounds = bounds
	v, sd := fade(l.Bounds)
	if math.IsNaN(v) {
		l.Missing = append(l.Missing, Missing{"height_fade", Both, l.View, *info(WhyFewJumps)})
		return
	}
	l.Measures = append(l.Measures, Measure{Name: "height_fade", Side: Both, Value: v, SD: sd, Unit: UnitOf("height_fade"), View: l.View, TimeS: l.Bounds[0].ContactS})
}
