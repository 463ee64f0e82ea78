package kinematics

import "math"

// Sides says for which sides a measure is told.
type Sides string

// The sides of measures.
const (
	EachLeg        Sides = "each leg"               // that landed, or may have
	EachLegAndMean Sides = "each leg, and the mean" // of the two as Both
	NearLeg        Sides = "near leg"               // of a side view
	WholeBody      Sides = "body"                   // Both
)

// About says what a measure is, for readers of reports, checklists and exports. View is Front, the
// views of the side as Sideways, or empty for both.
type About struct {
	Name       string
	Unit       string
	View       View
	Sides      Sides
	Words      string // plain words, without the unit
	Definition string // how it is told
	Sign       string // what more and less mean; empty for what is never below 0
	Source     string // of the definition
	YesNo      bool   // 1 or 0
}

// Sideways is either side view, where something is about both.
const Sideways View = "side"

// common is the source of what the trade does and nobody is known to have written first.
const common = "common practice, no source"

// definition is a measure and how it is told: of each leg, of the body, or of both. One without
// either is told of a whole set of jumps.
type definition struct {
	About
	when func(Task) bool                // the tasks it is told in; nil for all
	leg  func(*takings, Side) value     // of each leg
	body func(*takings) value           // of the body, once the legs are told
	asks func(s *analysis, l Side) bool // whether a leg has it at all; nil for every leg
}

// value is one number being told. A NaN v is missing; why says so.
type value struct {
	v       float64 // in the unit of its measure
	t       float64 // s
	own     float64 // a standard deviation that the disturbances do not hold
	why     Code
	atLeast bool // the true value may be larger
	bias    noiseBias
}

// missing reports whether there is no number.
func (v value) missing() bool { return math.IsNaN(v.v) || math.IsInf(v.v, 0) }

// none is a value that is missing.
func none(why Code) value { return value{v: math.NaN(), why: why} }

// takings are the numbers of one landing, or of one disturbed draw of it, and what several of them
// are told from, which is worked out once.
type takings struct {
	*analysis
	values map[key]value
	memo   map[key]any
	hips   path // their middle, filtered
}

// key names a measure, or what measures are told from, of a side.
type key struct {
	name string
	side Side
}

// take tells all of them.
func (s *analysis) take(all []told) *takings {
	t := &takings{
		analysis: s, values: make(map[key]value, len(all)), memo: map[key]any{},
		hips: s.middle(s.pos, Hip),
	}
	for _, m := range all {
		if m.side == Both {
			t.values[m.key()] = m.body(t)
		} else {
			t.values[m.key()] = m.leg(t, m.side)
		}
	}
	return t
}

// once works something out the first time that it is asked for.
func once[T any](t *takings, name string, side Side, of func() T) T {
	k := key{name, side}
	if v, ok := t.memo[k]; ok {
		return v.(T)
	}
	v := of()
	t.memo[k] = v
	return v
}

// sureness is how well something is known from contact to still.
func (t *takings) sureness(of string, side Side, sd func(i int) float64) *known {
	return once(t, "sureness of "+of, side, func() *known { return t.knownTo(t.when.from(), t.when.settled(), sd) })
}

// unseen is a curve that is nowhere known.
func (t *takings) unseen() curve { return t.newCurve(func(int) float64 { return math.NaN() }) }

// length is a value told from px at the landing place, which needs a scale.
func (t *takings) length(v value) value {
	if !t.sc.Known() {
		v.v, v.why = math.NaN(), NoteNoScale
	}
	return v
}

// told is a measure to be told of a side.
type told struct {
	*definition
	side Side
}

func (m told) key() key { return key{m.Name, m.side} }
