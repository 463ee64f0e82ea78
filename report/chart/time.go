package chart

import (
	"math"

	"steadfall/report/locale"
)

// Charts over time show from before contact until after the hold has begun, in seconds.
const (
	SecondsBefore = 0.5
	SecondsAfter  = 3.5
)

// PerSecond is at how many places a second a curve is drawn, interpolated: the library stacks
// a band on its lower edge only over named positions, and equal positions for all curves make
// the axis read in round numbers.
const PerSecond = 100

// Position is the place of a time from contact on that axis.
func Position(s float64) int { return int(math.Round((s + SecondsBefore) * PerSecond)) }

// SecondsAt is the time from contact at a position of a time axis of so many hundredths a step.
func SecondsAt(position, step int) float64 { return float64(position*step)/PerSecond - SecondsBefore }

// TimeAxis is the axis of a chart over time that goes until lastS from contact, so many
// hundredths of a second a step.
func TimeAxis(loc locale.Locale, lastS float64, step int) Axis {
	a := Axis{Name: loc.Say("seconds from contact"), Every: PerSecond / step / 2}
	for k := 0; k <= max(Position(math.Min(SecondsAfter, lastS)), 0); k += step {
		a.Positions = append(a.Positions, loc.Fixed(1, SecondsAt(k/step, step)))
	}
	return a
}
