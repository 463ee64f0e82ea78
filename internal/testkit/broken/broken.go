// Package broken draws simulated landings, breaks their tracks as people and nets do, and counts
// what is found for sure, or earns a step, that the truth denies.
package broken

import (
	"math"
	"math/rand/v2"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// Drawn is one landing, what was done to its track, and what was asked of it.
type Drawn struct {
	Sim     simulated.Landing
	Truth   simulated.Truth
	Track   kinematics.Track
	Options kinematics.Options
	Broken  string  // how; empty for not at all
	HoldS   float64 // that it was held in truth
}

// slipsAfterS is when the right foot of a simulated landing slips, s after the deepest point.
const slipsAfterS = 1.3

// breaks are the ways in which a track is broken.
var breaks = []struct {
	name string
	do   func(d *Drawn, rng *rand.Rand)
}{
	{"", func(*Drawn, *rand.Rand) {}},
	{"labels swapped", func(d *Drawn, _ *rand.Rand) { d.Track = d.Track.SidesSwapped() }},
	{"labels swapped for a while", func(d *Drawn, rng *rand.Rand) {
		d.each(d.stretch(rng, 0.1, 0.6), func(i int) {
			for _, p := range kinematics.Parts {
				l, r := d.Track.Points[kinematics.On(kinematics.Left, p)], d.Track.Points[kinematics.On(kinematics.Right, p)]
				l[i], r[i] = r[i], l[i]
			}
		})
	}},
	{"a leg unseen", func(d *Drawn, rng *rand.Rand) {
		from := []float64{0, d.Truth.ContactS - 0.1, d.Truth.ContactS + 0.05}[rng.IntN(3)]
		side := sides[rng.IntN(2)]
		parts := [][]kinematics.Part{{kinematics.Knee}, {kinematics.Hip, kinematics.Knee, kinematics.Ankle, kinematics.Heel, kinematics.Toe}, {kinematics.Ankle, kinematics.Heel, kinematics.Toe}}[rng.IntN(3)]
		d.each([2]float64{from, math.Inf(1)}, func(i int) { d.hide(side, parts, i) })
	}},
	{"the other foot down", func(d *Drawn, rng *rand.Rand) {
		other, ok := d.free()
		if !ok {
			return
		}
		down := d.Truth.ContactS + 0.28 + 2.5*rng.Float64()
		lift := 0.1 * d.Sim.StatureCM * d.Sim.PxPerCM
		d.each([2]float64{down - 0.1, math.Inf(1)}, func(i int) {
			for _, p := range []kinematics.Part{kinematics.Ankle, kinematics.Heel, kinematics.Toe} {
				d.Track.Points[kinematics.On(other, p)][i].Y += lift * math.Min((d.Track.TimeS[i]-down+0.1)/0.1, 1)
			}
		})
		d.HoldS = math.Min(d.HoldS, math.Max(down-d.Truth.LowestS, 0))
	}},
	{"wild points", func(d *Drawn, rng *rand.Rand) {
		for range 1 + rng.IntN(6) {
			l := kinematics.Landmarks()[rng.IntN(12)]
			p := &d.Track.Points[l][rng.IntN(len(d.Track.TimeS))]
			p.X, p.Y = p.X+300*rng.NormFloat64(), p.Y+300*rng.NormFloat64()
		}
	}},
	{"a gap", func(d *Drawn, rng *rand.Rand) {
		parts := [][]kinematics.Part{{kinematics.Hip}, {kinematics.Knee}, {kinematics.Ankle, kinematics.Heel, kinematics.Toe}, kinematics.Parts}[rng.IntN(4)]
		both := rng.IntN(2) == 0
		d.each(d.stretch(rng, 0.12, 1.2), func(i int) {
			d.hide(kinematics.Left, parts, i)
			if both {
				d.hide(kinematics.Right, parts, i)
			}
		})
	}},
	{"half speed", func(d *Drawn, _ *rand.Rand) { d.retime(2) }},
	{"a wrong rate given", func(d *Drawn, rng *rand.Rand) {
		d.Options.CaptureFPS = d.Sim.FPS * []float64{0.5, 2, 4}[rng.IntN(3)]
	}},
	{"a wrong height", func(d *Drawn, rng *rand.Rand) { d.Options.StatureCM *= []float64{0.7, 1.4}[rng.IntN(2)] }},
	{"another view", func(d *Drawn, _ *rand.Rand) {
		if d.Track.View == kinematics.Front {
			d.Track.View = kinematics.SideRight
		} else {
			d.Track.View = kinematics.Front
		}
	}},
	{"another leg asked for", func(d *Drawn, rng *rand.Rand) {
		if one := sides[rng.IntN(2)]; one != d.Sim.Limb {
			d.Options.Limb = one
		} else {
			d.Options.Limb = one.Other()
		}
	}},
}

var sides = []kinematics.Side{kinematics.Left, kinematics.Right}

// Draw draws a landing and breaks its track in one way.
func Draw(rng *rand.Rand) Drawn {
	between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	s := simulated.Landing{
		View: kinematics.Front, FPS: []float64{30, 60, 60, 120}[rng.IntN(4)], StatureCM: between(150, 195), PxPerCM: between(2.5, 5),
		BoxCM: between(18, 45), DepthCM: between(14, 26), HoldS: between(0.5, 5), SD: between(0.7, 2.5),
		FPPADeg: map[kinematics.Side]float64{kinematics.Left: between(-8, 6), kinematics.Right: between(-8, 6)},
		LeanDeg: between(-12, 12), YawDeg: 5 * rng.NormFloat64(),
	}
	for _, side := range sides {
		if rng.IntN(3) == 0 {
			s.FPPADeg[side] = between(0, 30)
		}
	}
	if rng.IntN(3) == 0 {
		s.View, s.YawDeg, s.LeanDeg = kinematics.SideRight, 0, 0
	}
	if rng.IntN(2) == 0 {
		s.Limb = sides[rng.IntN(2)]
	}
	if rng.IntN(4) == 0 {
		s.SlipCM = 6
	}
	held := s.HoldS
	if s.SlipCM > 0 && s.Limb != kinematics.Left {
		held = math.Min(held, slipsAfterS)
	}
	d := Drawn{Sim: s, HoldS: held, Options: kinematics.Options{Task: kinematics.DropLanding, Limb: kinematics.Both, StatureCM: s.StatureCM, Seed: rng.Uint64()}}
	if s.Limb != "" {
		d.Options.Limb = s.Limb
	}
	d.Track, d.Truth = s.Track()
	for _, l := range kinematics.Landmarks() {
		// As the model of doubt has it: part of an error lasts, the rest changes as the body moves.
		x, y := rng.NormFloat64(), rng.NormFloat64()
		for i := range d.Track.Points[l] {
			p := &d.Track.Points[l][i]
			p.X, p.Y = p.X+s.SD*(0.8*x+0.3*rng.NormFloat64()), p.Y+s.SD*(0.8*y+0.3*rng.NormFloat64())
		}
	}
	b := breaks[rng.IntN(len(breaks))]
	d.Broken = b.name
	b.do(&d, rng)
	return d
}

// free is the leg in the air, where there is one.
func (d *Drawn) free() (kinematics.Side, bool) { return d.Sim.Limb.Other(), d.Sim.Limb != "" }

// stretch is some time of that length after contact.
func (d *Drawn) stretch(rng *rand.Rand, least, most float64) [2]float64 {
	from := d.Truth.ContactS - 0.2 + 1.5*rng.Float64()
	return [2]float64{from, from + least + (most-least)*rng.Float64()}
}

func (d *Drawn) each(s [2]float64, do func(i int)) {
	for i, at := range d.Track.TimeS {
		if at >= s[0] && at < s[1] {
			do(i)
		}
	}
}

func (d *Drawn) hide(side kinematics.Side, parts []kinematics.Part, i int) {
	for _, p := range parts {
		d.Track.Points[kinematics.On(side, p)][i] = kinematics.Unseen()
	}
}

func (d *Drawn) retime(k float64) {
	for i := range d.Track.TimeS {
		d.Track.TimeS[i] *= k
	}
}

// Denies reports whether the truth speaks against a sure finding. known is false for items of
// which the simulation has no truth that is exact.
func (d Drawn) Denies(f scoring.Finding) (denied, known bool) {
	bad := false
	switch f.ID {
	case "knee-inside-toe":
		bad = d.Sim.FPPADeg[f.Side] > *f.Threshold
	case "trunk-leans":
		bad = math.Abs(d.Sim.LeanDeg) > *f.Threshold
	case "short-hold":
		bad = d.HoldS < *f.Threshold
	default:
		return false, false
	}
	return bad != (f.Finding == scoring.Error), true
}

// Earned reports whether the landing may count towards a step by the truth: on the feet that were
// asked for, held, and with no knee inside the toe.
func (d Drawn) Earned(step scoring.Step, threshold float64) bool {
	asked := d.Options.Limb
	if asked == kinematics.Both {
		asked = ""
	}
	if asked != "" && asked != d.Sim.Limb || d.HoldS < step.HoldS {
		return false
	}
	for _, side := range sides {
		if (d.Sim.Limb == "" || d.Sim.Limb == side) && d.Sim.FPPADeg[side] > threshold {
			return false
		}
	}
	return true
}
