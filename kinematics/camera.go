package kinematics

import "math"

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
	x := valueAt(hip.x, s.position(s.when.lowest))
	focal := float64(max(s.width, s.height)) / fieldOfView
	return math.Atan2(x-float64(s.width-1)/2, focal) * deg, true
}

// notes say what of the picture numbers suffer from.
func (s *analysis) notes() []Note {
	var out []Note
	if at, ok := s.feetCross(); ok {
		out = append(out, warning(NoteFeetCross, HintCheckPoints, at))
	}
	if lean := s.leans; s.opt.Plumb == nil && s.view == Front && math.Abs(lean) > rollWarningDeg {
		out = append(out, warning(NoteLeans, HintGivePlumb, math.Abs(lean)))
	}
	if s.view == Front && s.grow > nearerWarning {
		out = append(out, warning(NoteNearer, HintFilmFurther, 100*(s.grow-1), 100*growSD))
	}
	if a, ok := s.offAxis(); ok && s.view == Front && math.Abs(a) > offAxisWarning {
		out = append(out, warning(NoteOffAxis, HintCentre, math.Abs(a)))
	}
	out = append(out, s.boxNote()...)
	if s.kneeLeftPlane() {
		out = append(out, warning(NoteKneeLeftPlane, ""))
	}
	return out
}

// boxTimeSD is how far the time of a fall differs from that off the box's edge, s: people
// step down from it or hop up first (common practice, no source).
const boxTimeSD = 0.05

// boxNote compares the time in the air with that of a free fall from the box.
func (s *analysis) boxNote() []Note {
	if !(s.opt.BoxCM > 0) || !s.opt.Task.traits().fromBox {
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

// splaySDDeg is how much one foot is turned out more than the other in people
// standing square (common practice, no source); it limits what the feet tell
// about yaw.
const splaySDDeg = 3.0

// yawSD is the standard deviation, in degrees, of the camera's yaw: the prior,
// narrowed by the directions of both feet where they are seen from the front. A
// clear turn of the feet widens it again, since nothing is corrected by it.
func (s *analysis) yawSD() float64 {
	if s.view != Front {
		return 0
	}
	// Feet that are seen tell of standing aside too; otherwise it is one more doubt.
	aside, ok := s.offAxis()
	if !ok {
		aside = offAxisUnknown
	}
	unseen := math.Hypot(s.opt.yawPrior(), aside)
	prior := sq(s.opt.yawPrior())
	if !s.has(On(Left, Heel), On(Left, Toe), On(Right, Heel), On(Right, Toe)) || len(s.when.contact) != 2 {
		return unseen
	}
	across := s.newCurve(func(i int) float64 {
		l, r := On(Left, Heel), On(Right, Heel)
		return s.pos[On(Left, Toe)].x[i] - s.pos[l].x[i] + s.pos[On(Right, Toe)].x[i] - s.pos[r].x[i]
	})
	foot := footLength * s.body
	turn := math.Asin(math.Min(math.Max(s.over(across, s.when.lowest-0.1, s.when.lowest+0.1)/(2*foot), -1), 1)) * deg
	if math.IsNaN(turn) {
		return unseen
	}
	points := 0.0
	for _, l := range []Landmark{On(Left, Heel), On(Left, Toe), On(Right, Heel), On(Right, Toe)} {
		points += sq(valueAt(s.sd[l], s.position(s.when.lowest)))
	}
	noise := sq(splaySDDeg)/2 + points/sq(2*foot)*deg*deg
	if math.IsNaN(noise) {
		return unseen
	}
	gain := prior / (prior + noise)
	return math.Hypot(gain*turn, math.Sqrt(gain*noise))
}

// crossingS is how long after the lowest point crossing feet are looked for at least.
const crossingS = 1.0

// feetCross tells whether, from contact to the end of the hold, the left ankle is seen
// right of the right one as the athlete has them, and when first.
func (s *analysis) feetCross() (at float64, ok bool) {
	l, r := On(Left, Ankle), On(Right, Ankle)
	if s.view != Front || !s.has(l, r) {
		return 0, false
	}
	end := s.when.lowest + crossingS
	if s.when.holdEnd > end {
		end = s.when.holdEnd
	}
	from, to := s.span(s.when.from(), end)
	crossed := 0
	for i := from; i <= to; i++ {
		if s.pos[l].x[i] < s.pos[r].x[i]-math.Hypot(s.sd[l][i], s.sd[r][i]) {
			crossed++
		}
		if crossed == 3 {
			return s.time(i), true
		}
	}
	return 0, false
}

func (s *analysis) kneeLeftPlane() bool {
	near := s.view.Near()
	if near == Both || !s.has(On(near, Hip), On(near, Knee), On(near, Ankle)) {
		return false
	}
	return s.outOfPlane(near, s.near(s.when.lowest)) > 0.5
}
