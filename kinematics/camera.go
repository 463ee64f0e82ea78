package kinematics

import "math"

// Plumb is a line of the picture that hangs or stands upright in the world: a plumb
// line, a door frame, the edge of a rack. Its ends are in px.
type Plumb struct {
	X1 float64 `json:"X1"`
	Y1 float64 `json:"Y1"`
	X2 float64 `json:"X2"`
	Y2 float64 `json:"Y2"`
}

// RollDeg is how far the camera is turned about its axis, degrees, positive when things
// upright lean to the right of the picture.
func (p Plumb) RollDeg() float64 {
	dx, dy := p.X1-p.X2, p.Y2-p.Y1
	if dy < 0 {
		dx, dy = -dx, -dy
	}
	return math.Atan2(dx, dy) * deg
}

// turned is the track as a camera without that roll would have shown it: turned about
// the middle of the picture.
func (t Track) turned(rollDeg float64) Track {
	if rollDeg == 0 {
		return t
	}
	sin, cos := math.Sincos(rollDeg / deg)
	cx, cy := float64(t.Width-1)/2, float64(t.Height-1)/2
	out := t
	out.Points = map[Landmark][]Point{}
	for l, ps := range t.Points {
		qs := make([]Point, len(ps))
		for i, p := range ps {
			dx, dy := p.X-cx, p.Y-cy
			p.X, p.Y = cx+cos*dx+sin*dy, cy-sin*dx+cos*dy
			qs[i] = p
		}
		out.Points[l] = qs
	}
	return out
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

// fieldOfView is the picture's longer side over the focal length in px of phones' main
// cameras filming: 65 to 70° along it (common practice, no source).
const fieldOfView = 1.3

// The camera's faults that are said, not corrected: how much nearer an athlete may come
// by growing in the picture, and how far beside its middle they may stand.
const (
	nearerWarning  = 1.13
	offAxisWarning = 6.0 // degrees
	offAxisUnknown = 3.0 // one standard deviation where the picture's size is not known, degrees (common practice, no source)
)

// offAxis is at what angle beside the middle of the picture the athlete lands, degrees; ok is
// false where the picture's size is not known. Whatever is nearer to the camera there, a
// bent knee or a toe, looks moved outwards, as if the camera stood beside the athlete's
// front by that angle.
func (s *analysis) offAxis() (angle float64, ok bool) {
	if s.width == 0 || s.height == 0 {
		return 0, false
	}
	hip := s.middle(s.pos, Hip)
	x := valueAt(hip.x, s.place(s.when.lowest))
	focal := float64(max(s.width, s.height)) / fieldOfView
	return math.Atan2(x-float64(s.width-1)/2, focal) * deg, true
}

// cameraNotes say what the camera did that numbers suffer from.
func (s *analysis) cameraNotes() []Note {
	var out []Note
	if lean := s.leans; s.opt.Plumb == nil && s.view == Front && math.Abs(lean) > rollWarningDeg {
		out = append(out, warning(NoteLeans, HintGivePlumb, math.Abs(lean)))
	}
	if s.view == Front && s.grow > nearerWarning {
		out = append(out, warning(NoteNearer, HintFilmFurther, 100*(s.grow-1), 100*growSD))
	}
	if a, ok := s.offAxis(); ok && s.view == Front && math.Abs(a) > offAxisWarning {
		out = append(out, warning(NoteOffAxis, HintCentre, math.Abs(a)))
	}
	return append(out, s.boxNote()...)
}

// boxTimeSD is how far the time of a fall differs from that off the box's edge, s: people
// step down from it or hop up first (common practice, no source).
const boxTimeSD = 0.05

// boxNote compares the time in the air with that of a free fall from the box.
func (s *analysis) boxNote() []Note {
	if !(s.opt.BoxCM > 0) || s.opt.Task != DropLanding && s.opt.Task != DropJump {
		return nil
	}
	took := s.when.first - s.airFrom
	if !(took > 0) {
		return nil
	}
	_, free := DropSpeed(s.opt.BoxCM / 100)
	if math.Abs(took-free) <= 2*math.Hypot(boxTimeSD, 1/s.fs) {
		return nil
	}
	hint := HintLongerFall
	if took < free {
		hint = HintShorterFall
	}
	return []Note{warning(NoteBoxTime, hint, took, math.Hypot(boxTimeSD, 1/s.fs), s.opt.BoxCM, free)}
}
