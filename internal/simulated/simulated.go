// Package simulated makes tracks of landings from closed-form motion, so that every
// number is known exactly: a body of Drillis and Contini's proportions falls freely,
// sinks along a quarter of a sine, and stands still. Pure Go, for tests and benches.
package simulated

import (
	"math"

	"steadfall/kinematics"
)

// Landing says what is simulated. The zero of time is the start of the track.
type Landing struct {
	View      kinematics.View
	Limb      kinematics.Side // the leg landed on, the other one lifted behind; else both
	FPS       float64
	StatureCM float64
	PxPerCM   float64
	BoxCM     float64                     // fall of the hips before contact; 0 for a snap-down
	DepthCM   float64                     // hips sink after contact, or in a snap-down after the tallest
	PullG     float64                     // greatest downward acceleration of a snap-down, × g
	FPPADeg   map[kinematics.Side]float64 // at its most
	KneesMove bool                        // the FPPA grows from contact to the lowest point and eases after; else it is constant
	LeanDeg   float64                     // of the trunk to the athlete's right, from the front
	TiltDeg   float64                     // of the pelvis, down on the athlete's right, from the front
	HeelUpCM  float64                     // the heel over the toe in the fall; below 0 it comes down first
	SlipCM    float64                     // of the right foot on the floor in the hold, outwards or ahead
	SwayCM    float64                     // of the hips in the hold, sideways and a sixth of it up and down
	HoldS     float64
	YawDeg    float64 // turn of the camera about the athlete, from the front
	RollDeg   float64 // of the camera; positive leans upright things to the right
	SD        float64 // standard deviation stated for every point, px
}

// Truth is what the track must give.
type Truth struct {
	StartS, ContactS, LowestS float64
	KneeFlexionPeak           float64 // deg
}

// StandS is how long the athlete stands before the movement.
const StandS = 0.8

const g = 981.0 // cm/s²

// Track returns the track and its truth.
func (l Landing) Track() (kinematics.Track, Truth) {
	h := l.StatureCM
	t := Truth{StartS: StandS, ContactS: math.NaN()}
	hip := l.snapDown(&t)
	if l.BoxCM > 0 {
		hip = l.drop(&t)
	}
	end := t.LowestS + l.HoldS
	n := int(end * l.FPS)
	frames, times := make([]int, n), make([]float64, n)
	for i := range n {
		frames[i], times[i] = i, float64(i)/l.FPS
	}
	tr := kinematics.NewTrack(l.View, 1080, 1920, frames, times)
	for i, s := range times {
		l.pose(tr, i, s, hip(s), l.footUp(s), t)
	}
	leg := 0.491 * h // thigh and shank
	d := hip(t.LowestS) - 0.039*h
	t.KneeFlexionPeak = 180 - 2*math.Asin(d/leg)*180/math.Pi
	return tr, t
}

// legCM is the hip's height above the floor in flight, with the knee a little bent.
func (l Landing) legCM() float64 { return 0.52 * l.StatureCM }

// drop is the height of the hips over the floor: standing on the box, falling,
// sinking.
func (l Landing) drop(t *Truth) func(s float64) float64 {
	speed := math.Sqrt(2 * g * l.BoxCM)
	fall := speed / g
	t.ContactS = StandS + fall
	sink := l.DepthCM * math.Pi / 2 / speed
	t.LowestS = t.ContactS + sink
	return func(s float64) float64 {
		switch {
		case s < StandS:
			return l.legCM() + l.BoxCM
		case s < t.ContactS:
			return l.legCM() + l.BoxCM - g*(s-StandS)*(s-StandS)/2
		case s < t.LowestS:
			return l.legCM() - l.DepthCM*math.Sin(math.Pi/2*(s-t.ContactS)/sink)
		}
		return l.legCM() - l.DepthCM
	}
}

// snapDown is the same for a snap-down: half a cosine from tall to low, whose
// greatest acceleration is PullG.
func (l Landing) snapDown(t *Truth) func(s float64) float64 {
	took := math.Pi * math.Sqrt(l.DepthCM/2/(math.Max(l.PullG, 0.1)*g))
	t.LowestS = StandS + took
	return func(s float64) float64 {
		u := math.Min(math.Max((s-StandS)/took, 0), 1)
		return l.legCM() - l.DepthCM/2*(1-math.Cos(math.Pi*u))
	}
}

// footUp is how far the feet are above the floor; below it, how far they would have fallen
// without one.
func (l Landing) footUp(s float64) float64 {
	switch {
	case l.BoxCM == 0:
		return 0
	case s < StandS:
		return l.BoxCM
	}
	return l.BoxCM - g*(s-StandS)*(s-StandS)/2
}

// pitch is how far heel and toe are above the lower one of them, s seconds into the track:
// the foot is flat on the box and takes its pitch in the first 0.08 s of the fall.
func (l Landing) pitch(s float64) (heel, toe float64) {
	up := l.HeelUpCM * math.Min(math.Max((s-StandS)/0.08, 0), 1)
	return math.Max(up, 0), math.Max(-up, 0)
}

// knees is the share of its most that the FPPA has.
func (l Landing) knees(s float64, t Truth) float64 {
	switch {
	case !l.KneesMove:
		return 1
	case s < t.ContactS:
		return 0.3
	case s < t.LowestS:
		return 0.3 + 0.7*math.Sin(math.Pi/2*(s-t.ContactS)/(t.LowestS-t.ContactS))
	}
	return 0.75 + 0.25*math.Exp(-(s-t.LowestS)/0.3)
}

// trunkFlexion is how far the trunk leans forward, radians: 5° upright and 30° at the
// lowest point.
func (l Landing) trunkFlexion(s float64, t Truth) float64 {
	sunk := 0.0
	if from := t.contactOrStart(); s > from {
		sunk = math.Sin(math.Pi / 2 * math.Min((s-from)/(t.LowestS-from), 1))
	}
	return (5 + 25*sunk) * math.Pi / 180
}

func (t Truth) contactOrStart() float64 {
	if math.IsNaN(t.ContactS) {
		return t.StartS
	}
	return t.ContactS
}

// sway is how far the hips are aside and up, in cm, s seconds after the lowest point:
// slow swings, as people standing on bent legs make, that set in over half a second.
func (l Landing) sway(s float64) (aside, up float64) {
	if s <= 0 {
		return 0, 0
	}
	a := l.SwayCM * (1 - math.Exp(-s/0.5))
	return a * math.Sin(2*math.Pi*0.45*s), a / 6 * math.Sin(2*math.Pi*0.3*s)
}

// slip is how far the right foot has slid, s seconds after the lowest point: from 1.2 s
// on, over 0.3 s.
func (l Landing) slip(s float64) float64 {
	return l.SlipCM * math.Min(math.Max((s-1.2)/0.3, 0), 1)
}

// pose places all points of frame i. In cm, x is to the athlete's left, y ahead of them,
// z up; parallel light makes the picture.
func (l Landing) pose(tr kinematics.Track, i int, timeS, hipZ, up float64, t Truth) {
	h := l.StatureCM
	aside, raise := l.sway(timeS - t.LowestS)
	hipZ += raise
	turn, lean, tilt := l.YawDeg*math.Pi/180, math.Tan(l.LeanDeg*math.Pi/180), math.Tan(l.TiltDeg*math.Pi/180)
	knees := l.knees(timeS, t)
	flex := l.trunkFlexion(timeS, t)
	heel, toe := l.pitch(timeS)
	heel, toe, up = math.Max(up+heel, 0), math.Max(up+toe, 0), math.Max(up, 0)
	trunk := 0.288 * h * math.Cos(flex) // its height
	sin, cos := math.Sincos(l.RollDeg * math.Pi / 180)
	put := func(s kinematics.Side, p kinematics.Part, x, y, z float64) {
		across := x*math.Cos(turn) + y*math.Sin(turn)
		switch l.View {
		case kinematics.SideRight:
			across = y
		case kinematics.SideLeft:
			across = -y
		}
		px, py := across*l.PxPerCM, 540-z*l.PxPerCM // from the middle of the picture
		tr.Points[kinematics.On(s, p)][i] = kinematics.Point{X: 540 + cos*px - sin*py, Y: 960 + cos*py + sin*px, SD: l.SD, Source: kinematics.Tracked}
	}
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		out, slip := 1.0, 0.0
		if s == kinematics.Right {
			out, slip = -1, l.slip(timeS-t.LowestS)
		}
		lift := l.lift(s)
		ankleZ := up + lift + 0.039*h
		half := math.Min(hipZ-ankleZ, 0.491*h) / 2
		bow := math.Sqrt(math.Max(0, 0.2455*0.2455*h*h-half*half)) // of the knee, forward
		x := out * 0.0955 * h
		in := half * math.Tan(knees*l.FPPADeg[s]/2*math.Pi/180)
		put(s, kinematics.Shoulder, aside+out*0.129*h-lean*trunk, 0.288*h*math.Sin(flex), hipZ+trunk)
		put(s, kinematics.Hip, aside+x, 0, hipZ+x*tilt)
		put(s, kinematics.Knee, (aside+out*slip)/2+x-out*in, bow+slip/2, ankleZ+half)
		put(s, kinematics.Ankle, out*slip+x, slip, ankleZ)
		back := -lift / 2 // a lifted foot hangs behind, toes down
		put(s, kinematics.Heel, out*(slip-1)+x, slip-0.04*h+back, heel+1+1.4*lift)
		put(s, kinematics.Toe, out*(slip+1)+x, slip+0.112*h+back, toe+lift)
	}
}

// lift is how far a leg's foot is above the floor when the other one lands alone, cm.
func (l Landing) lift(s kinematics.Side) float64 {
	if l.Limb == kinematics.Left || l.Limb == kinematics.Right {
		if s != l.Limb {
			return 0.1 * l.StatureCM
		}
	}
	return 0
}
