package simulated

import (
	"math"

	"steadfall/kinematics"
)

// Jumps is one jump or several in a row, from standing, from a squat or off a box, and a
// last landing that is held.
type Jumps struct {
	View      kinematics.View
	FPS       float64
	StatureCM float64
	PxPerCM   float64
	SquatCM   float64   // depth of the squat before the first push; with BoxCM 0
	SquatS    float64   // how long it is held; 0 is a countermovement
	DipCM     float64   // sunk from the held squat before the push
	BoxCM     float64   // fall before the first contact instead of a push from the floor
	ContactS  []float64 // of the contacts between flights
	FlightS   []float64 // of the flights; one more than the contacts, but as many off a box
	DepthCM   float64   // of the last landing
	FPPADeg   map[kinematics.Side]float64
	SD        float64 // standard deviation stated for every point, px
}

// phase is one stretch of the hips' height over the floor: a cubic between two heights
// and speeds, or a flight.
type phase struct {
	took     float64 // s
	z0, z1   float64 // cm
	v0, v1   float64 // cm/s
	inFlight bool
}

func (p phase) at(s float64) float64 {
	if p.inFlight {
		return p.z0 + p.v0*s - g*s*s/2
	}
	u := s / p.took
	// Hermite's cubic.
	return (1+2*u)*(1-u)*(1-u)*p.z0 + u*u*(3-2*u)*p.z1 + p.took*(u*(1-u)*(1-u)*p.v0-u*u*(1-u)*p.v1)
}

// Track returns the track.
func (j Jumps) Track() kinematics.Track {
	l := Landing{View: j.View, FPS: j.FPS, StatureCM: j.StatureCM, PxPerCM: j.PxPerCM, FPPADeg: j.FPPADeg, SD: j.SD}
	leg := l.legCM()
	low := leg - j.SquatCM
	var ps []phase
	now, contact := 0.0, 0.0
	add := func(p phase) {
		ps = append(ps, p)
		now += p.took
	}
	fly := func(took float64) {
		add(phase{took: took, z0: leg, v0: g * took / 2, inFlight: true})
		contact = now
	}
	flights := j.FlightS
	box := 0.0 // how far the feet stand above the floor
	if j.BoxCM > 0 {
		box = j.BoxCM
		add(phase{took: StandS, z0: leg + box, z1: leg + box})
		add(phase{took: math.Sqrt(2 * box / g), z0: leg + box, inFlight: true})
		contact = now
	} else {
		add(phase{took: StandS, z0: leg, z1: leg})
		add(phase{took: 0.5, z0: leg, z1: low})
		if j.SquatS > 0 {
			add(phase{took: j.SquatS, z0: low, z1: low})
			if j.DipCM > 0 {
				add(phase{took: 0.25, z0: low, z1: low - j.DipCM})
				low -= j.DipCM
			}
		}
		v := g * flights[0] / 2
		add(phase{took: 2 * (leg - low) / v, z0: low, z1: leg, v1: v})
		fly(flights[0])
		flights = flights[1:]
	}
	speed := math.Sqrt(2 * g * box) // of arrival
	if box == 0 {
		speed = g * j.FlightS[0] / 2
	}
	for i, c := range j.ContactS {
		v := g * flights[i] / 2
		add(phase{took: c, z0: leg, z1: leg, v0: -speed, v1: v})
		fly(flights[i])
		speed = v
	}
	add(phase{took: 2 * j.DepthCM / speed, z0: leg, z1: leg - j.DepthCM, v0: -speed})
	lowest := now
	add(phase{took: 2, z0: leg - j.DepthCM, z1: leg - j.DepthCM})

	n := int(now * j.FPS)
	frames, times := make([]int, n), make([]float64, n)
	for i := range n {
		frames[i], times[i] = i, float64(i)/j.FPS
	}
	tr := kinematics.NewTrack(j.View, 1080, 1920, frames, times)
	t := Truth{StartS: StandS, ContactS: contact, LowestS: lowest}
	for i, s := range times {
		from := 0.0
		for k, p := range ps {
			if s < from+p.took || k == len(ps)-1 {
				z := p.at(math.Min(s-from, p.took))
				up := 0.0
				if p.inFlight || from+p.took <= StandS {
					up = math.Max(z-leg, 0)
				}
				l.pose(tr, i, s, z, up, t)
				break
			}
			from += p.took
		}
	}
	return tr
}
