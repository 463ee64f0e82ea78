package kinematics

import "slices"

// registry is every measure there is, a family a file; a result has them in this order.
var registry = slices.Concat(frontMeasures, stanceMeasures, trunkMeasures, sideMeasures, depthMeasures, holdMeasures, pullMeasures, jumpMeasures, setMeasures)

// Measures lists every measure there is.
func Measures() []About {
	var out []About
	for _, d := range registry {
		out = append(out, d.About)
	}
	return out
}

// Describe returns what a measure is; ok is false for a name there is not.
func Describe(name string) (about About, ok bool) {
	for _, d := range registry {
		if d.Name == name {
			return d.About, true
		}
	}
	return About{}, false
}

// UnitOf returns the unit of a measure, or "" for a name there is not.
func UnitOf(name string) string {
	about, _ := Describe(name)
	return about.Unit
}

// measures are what is told of a landing, in order: of one leg after the other, then of the body.
func (s *analysis) measures() []told {
	var here []*definition
	for i := range registry {
		d := &registry[i]
		view := d.View == "" || d.View == s.view || d.View == Sideways && s.view.IsSide()
		if view && (d.when == nil || d.when(s.opt.Task)) {
			here = append(here, d)
		}
	}
	legs := s.legs()
	if s.view.IsSide() {
		legs = []Side{s.view.Near()}
	}
	var out []told
	for _, leg := range legs {
		for _, d := range here {
			if d.leg != nil && (d.asks == nil || d.asks(s, leg)) {
				out = append(out, told{d, leg})
			}
		}
	}
	for _, d := range here {
		if d.body != nil && (d.Sides != EachLegAndMean || len(legs) == 2) {
			out = append(out, told{d, Both})
		}
	}
	return out
}

// YesNo reports whether the measure is a yes or no, 1 or 0, which has no interval.
func (m Measure) YesNo() bool {
	about, _ := Describe(m.Name)
	return about.YesNo
}
