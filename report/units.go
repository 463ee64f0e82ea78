package report

import (
	"slices"
	"strings"

	"steadfall/scoring"
)

// cmPerInch is exact (international yard and pound agreement, 1959).
const cmPerInch = 2.54

// poundsPerKG is the inverse of 0.45359237, which is exact (the same agreement).
const poundsPerKG = 1 / 0.45359237

// units are those that a reader may want others for: what a value is multiplied with, and
// the unit it then has.
var units = map[string]struct {
	factor float64
	unit   string
}{"cm": {1 / cmPerInch, "in"}, "cm²": {1 / (cmPerInch * cmPerInch), "in²"}, "kg": {poundsPerKG, "lb"}}

// cm is the unit of lengths.
func (s Speech) cm() string { return s.unitOf("cm") }

// unitOf is the unit in which values of a unit are shown.
func (s Speech) unitOf(unit string) string {
	if to, ok := units[unit]; ok && s.Imperial {
		return to.unit
	}
	return unit
}

// in is a value of a unit as it is shown.
func (s Speech) in(unit string, v float64) float64 {
	if to, ok := units[unit]; ok && s.Imperial {
		return v * to.factor
	}
	return v
}

// result is a result with its lengths as they are shown. Sentences that the measuring wrote
// stay as they are, with their own units.
func (s Speech) result(r scoring.Result) scoring.Result {
	if !s.Imperial {
		return r
	}
	r.HeightCM, r.MassKG = s.in("cm", r.HeightCM), s.in("kg", r.MassKG)
	r.Measures = slices.Clone(r.Measures)
	for i, m := range r.Measures {
		r.Measures[i].Value, r.Measures[i].SD, r.Measures[i].Unit = s.in(m.Unit, m.Value), s.in(m.Unit, m.SD), s.unitOf(m.Unit)
	}
	r.Limbs = slices.Clone(r.Limbs)
	for i, d := range r.Limbs {
		r.Limbs[i].Value, r.Limbs[i].SD, r.Limbs[i].Unit = s.in(d.Unit, d.Value), s.in(d.Unit, d.SD), s.unitOf(d.Unit)
	}
	r.Score.Items = slices.Clone(r.Score.Items)
	for i, f := range r.Score.Items {
		to := &r.Score.Items[i]
		to.Value, to.SD, to.Threshold, to.Unit = s.inPointer(f.Unit, f.Value), s.inPointer(f.Unit, f.SD), s.inPointer(f.Unit, f.Threshold), s.unitOf(f.Unit)
	}
	r.Views = slices.Clone(r.Views)
	for i, v := range r.Views {
		bounds := slices.Clone(v.Bounds)
		for j, b := range bounds {
			bounds[j].HeightCM, bounds[j].HeightSD = s.in("cm", b.HeightCM), s.in("cm", b.HeightSD)
		}
		r.Views[i].Bounds = bounds
		if v.Scale != nil {
			scale := *v.Scale
			scale.CMPerPx, scale.SD = s.in("cm", scale.CMPerPx), s.in("cm", scale.SD)
			r.Views[i].Scale = &scale
		}
	}
	series := map[string]scoring.Series{}
	for view, curves := range r.Series {
		series[view] = scoring.Series{}
		for name, curve := range curves {
			series[view][name] = curve
			if strings.HasSuffix(strings.TrimSuffix(name, "_sd"), "_cm") {
				series[view][name] = s.curve(curve)
			}
		}
	}
	r.Series = series
	return r
}

func (s Speech) inPointer(unit string, v *float64) *float64 {
	if v == nil {
		return nil
	}
	to := s.in(unit, *v)
	return &to
}

// curve is a curve in cm as it is shown.
func (s Speech) curve(cm []*float64) []*float64 {
	out := make([]*float64, len(cm))
	for i, v := range cm {
		out[i] = s.inPointer("cm", v)
	}
	return out
}

// progress is what changed over the sessions, with lengths as they are shown.
func (s Speech) progress(all []scoring.Progress) []scoring.Progress {
	out := slices.Clone(all)
	for i := range out {
		p := &out[i]
		of := p.Unit
		change := func(c *scoring.Change) *scoring.Change {
			if c == nil {
				return nil
			}
			return &scoring.Change{Value: s.in(of, c.Value), SD: s.in(of, c.SD), Detectable: s.in(of, c.Detectable), Verdict: c.Verdict}
		}
		p.Unit, p.SinceFirst, p.SinceBefore = s.unitOf(of), change(p.SinceFirst), change(p.SinceBefore)
		p.Sessions = slices.Clone(p.Sessions)
		for j := range p.Sessions {
			p.Sessions[j].Mean, p.Sessions[j].SD = s.in(of, p.Sessions[j].Mean), s.in(of, p.Sessions[j].SD)
		}
	}
	return out
}

// jumps are jump heights as they are shown.
func (s Speech) jumps(all []scoring.JumpSummary) []scoring.JumpSummary {
	out := slices.Clone(all)
	for i, j := range out {
		out[i].BestCM, out[i].BestSD, out[i].MeanCM, out[i].MeanSD = s.in("cm", j.BestCM), s.in("cm", j.BestSD), s.in("cm", j.MeanCM), s.in("cm", j.MeanSD)
	}
	return out
}
