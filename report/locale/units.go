package locale

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

// CM is the unit of lengths.
func (l Locale) CM() string { return l.UnitOf("cm") }

// UnitOf is the unit in which values of a unit are shown.
func (l Locale) UnitOf(unit string) string {
	if to, ok := units[unit]; ok && l.Imperial {
		return to.unit
	}
	return unit
}

// In is a value of a unit as it is shown.
func (l Locale) In(unit string, v float64) float64 {
	if to, ok := units[unit]; ok && l.Imperial {
		return v * to.factor
	}
	return v
}

// Result is a result with its lengths as they are shown. Sentences that the measuring wrote
// stay as they are, with their own units.
func (l Locale) Result(r scoring.Result) scoring.Result {
	if !l.Imperial {
		return r
	}
	r.HeightCM, r.MassKG = l.In("cm", r.HeightCM), l.In("kg", r.MassKG)
	r.Measures = slices.Clone(r.Measures)
	for i, m := range r.Measures {
		r.Measures[i].Value, r.Measures[i].SD, r.Measures[i].Unit = l.In(m.Unit, m.Value), l.In(m.Unit, m.SD), l.UnitOf(m.Unit)
	}
	r.Limbs = slices.Clone(r.Limbs)
	for i, d := range r.Limbs {
		r.Limbs[i].Value, r.Limbs[i].SD, r.Limbs[i].Unit = l.In(d.Unit, d.Value), l.In(d.Unit, d.SD), l.UnitOf(d.Unit)
	}
	r.Score.Items = slices.Clone(r.Score.Items)
	for i, f := range r.Score.Items {
		to := &r.Score.Items[i]
		to.Value, to.SD, to.Threshold, to.Unit = l.inPointer(f.Unit, f.Value), l.inPointer(f.Unit, f.SD), l.inPointer(f.Unit, f.Threshold), l.UnitOf(f.Unit)
	}
	r.Views = slices.Clone(r.Views)
	for i, v := range r.Views {
		bounds := slices.Clone(v.Bounds)
		for j, b := range bounds {
			bounds[j].HeightCM, bounds[j].HeightSD = l.In("cm", b.HeightCM), l.In("cm", b.HeightSD)
		}
		r.Views[i].Bounds = bounds
		if v.Scale != nil {
			scale := *v.Scale
			scale.CMPerPx, scale.SD = l.In("cm", scale.CMPerPx), l.In("cm", scale.SD)
			r.Views[i].Scale = &scale
		}
	}
	series := map[string]scoring.Series{}
	for view, curves := range r.Series {
		series[view] = scoring.Series{}
		for name, curve := range curves {
			series[view][name] = curve
			if strings.HasSuffix(strings.TrimSuffix(name, "_sd"), "_cm") {
				series[view][name] = l.curve(curve)
			}
		}
	}
	r.Series = series
	return r
}

func (l Locale) inPointer(unit string, v *float64) *float64 {
	if v == nil {
		return nil
	}
	to := l.In(unit, *v)
	return &to
}

// curve is a curve in cm as it is shown.
func (l Locale) curve(cm []*float64) []*float64 {
	out := make([]*float64, len(cm))
	for i, v := range cm {
		out[i] = l.inPointer("cm", v)
	}
	return out
}

// Progress is what changed over the sessions, with lengths as they are shown.
func (l Locale) Progress(all []scoring.Progress) []scoring.Progress {
	out := slices.Clone(all)
	for i := range out {
		p := &out[i]
		of := p.Unit
		change := func(c *scoring.Change) *scoring.Change {
			if c == nil {
				return nil
			}
			return &scoring.Change{Value: l.In(of, c.Value), SD: l.In(of, c.SD), Detectable: l.In(of, c.Detectable), Verdict: c.Verdict}
		}
		p.Unit, p.SinceFirst, p.SinceBefore = l.UnitOf(of), change(p.SinceFirst), change(p.SinceBefore)
		p.Sessions = slices.Clone(p.Sessions)
		for j := range p.Sessions {
			p.Sessions[j].Mean, p.Sessions[j].SD = l.In(of, p.Sessions[j].Mean), l.In(of, p.Sessions[j].SD)
		}
	}
	return out
}

// Jumps are jump heights as they are shown.
func (l Locale) Jumps(all []scoring.JumpSummary) []scoring.JumpSummary {
	out := slices.Clone(all)
	for i, j := range out {
		out[i].BestCM, out[i].BestSD, out[i].MeanCM, out[i].MeanSD = l.In("cm", j.BestCM), l.In("cm", j.BestSD), l.In("cm", j.MeanCM), l.In("cm", j.MeanSD)
	}
	return out
}

// Unit is how a unit is printed behind a number.
func Unit(of string) string {
	switch of {
	case "deg":
		return "°"
	case "–":
		return ""
	}
	return "\u00a0" + of
}
