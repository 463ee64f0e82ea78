package kinematics

import "math"

// Options say what was asked of the athlete and what is known of them. Their names in JSON are
// those that archives hold, whatever the fields are called.
type Options struct {
	Task       Task         `json:"Task"`
	Limb       Side         `json:"Limb"`      // the leg that was asked for: Left, Right, or Both for two feet or as seen
	StatureCM  float64      `json:"StatureCM"` // 0: not known
	Length     *KnownLength `json:"Length"`
	CaptureFPS float64      `json:"CaptureFPS"` // rate a slow-motion export was filmed at; 0: times are true
	NominalFPS float64      `json:"NominalFPS"` // rate the export plays at; 0: told from the times
	Mirrored   bool         `json:"Mirrored"`   // the clip is a mirror image (selfie camera)
	Plumb      *Plumb       `json:"Plumb"`      // an upright line of the picture, in the clip as it is
	BoxCM      float64      `json:"BoxCM"`      // height of the box dropped from; 0: not known
	SquareDeg  float64      `json:"SquareDeg"`  // how squarely the front camera was set to a line on the floor, one sd; 0: not known
	Seed       uint64       `json:"Seed"`       // of the disturbances; the same seed gives the same numbers
}

// KnownLength is a length in the athlete's plane: CM centimetres between two
// points of the picture, in pixels.
type KnownLength struct {
	CM float64 `json:"CM"`
	X1 float64 `json:"X1"`
	Y1 float64 `json:"Y1"`
	X2 float64 `json:"X2"`
	Y2 float64 `json:"Y2"`
}

// Plumb is a line of the picture that hangs or stands upright in the world: a plumb
// line, a door frame, the edge of a rack. Its ends are in px.
type Plumb struct {
	X1 float64 `json:"X1"`
	Y1 float64 `json:"Y1"`
	X2 float64 `json:"X2"`
	Y2 float64 `json:"Y2"`
}

// RollDeg is how far the camera is turned about its axis, degrees within ±90, positive when
// things upright lean to the right of the picture: atan2(x1 − x2, y2 − y1) with the ends in
// the order in which the first is higher. A line without length has 0.
func (p Plumb) RollDeg() float64 {
	dx, dy := p.X1-p.X2, p.Y2-p.Y1
	if dy < 0 {
		dx, dy = -dx, -dy
	}
	return math.Atan2(dx, dy) * deg
}

// The standard deviation of the camera's roll, degrees: of a phone held or leant with
// care (common practice, no source), and of a line placed to 2 px over half a picture.
const (
	rollHeldDeg    = 1.0
	rollPlumbDeg   = 0.3
	rollWarningDeg = 4.0 // of an athlete's lean while standing, from which on it is said
)

// rollSD is how well the camera's roll is known, degrees.
func (o Options) rollSD() float64 {
	if o.Plumb != nil {
		return rollPlumbDeg
	}
	return rollHeldDeg
}

// yawPriorDeg is the standard deviation of the angle by which the camera stands
// beside the athlete's front when nothing in the clip tells it.
const yawPriorDeg = 5.0

// standSDDeg is how squarely people land to a line on the floor that the camera is squared
// to (common practice, no source).
const standSDDeg = 2.0

// yawPrior is what is known of the camera's yaw before looking at the clip, one standard
// deviation in degrees.
func (o Options) yawPrior() float64 {
	if o.SquareDeg > 0 {
		return math.Min(math.Hypot(o.SquareDeg, standSDDeg), yawPriorDeg)
	}
	return yawPriorDeg
}

// as is the track as a camera held upright would have filmed it, at true speed and not in a mirror.
func (t Track) as(opt Options) Track {
	t = retime(t, opt)
	if opt.Plumb != nil {
		t = t.turned(opt.Plumb.RollDeg())
	}
	if opt.Mirrored {
		t = t.reflected()
	}
	return t
}

// retime turns the times of a slow-motion export into true ones.
func retime(t Track, opt Options) Track {
	if opt.CaptureFPS <= 0 || len(t.TimeS) < 2 {
		return t
	}
	plays := opt.NominalFPS
	if plays <= 0 {
		plays = 1 / median(derivativeTimes(t.TimeS))
	}
	k := plays / opt.CaptureFPS
	times := make([]float64, len(t.TimeS))
	for i, v := range t.TimeS {
		times[i] = v * k
	}
	t.TimeS = times
	return t
}
