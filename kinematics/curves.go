package kinematics

import "math"

// Sample is one value of a curve; OK is false where it was not seen.
type Sample struct {
	V  float64
	OK bool
}

// Curve is a quantity over time, with a standard deviation for each sample.
type Curve struct {
	Name string
	Unit string
	V    []Sample // one for each time of the landing
	SD   []float64
}

// reportCurve is a quantity over the whole grid as reports draw it; what is not known is a gap.
func reportCurve(name, unit string, c curve, sd func(i int) float64) Curve {
	k := Curve{Name: name, Unit: unit}
	for i, v := range c {
		e := sd(i)
		ok := !math.IsNaN(v) && !math.IsInf(v, 0) && !math.IsNaN(e) && !math.IsInf(e, 0)
		if !ok {
			v, e = 0, 0
		}
		k.V, k.SD = append(k.V, Sample{v, ok}), append(k.SD, e)
	}
	return k
}

// curves are the quantities over time that reports draw, yawDeg being the standard deviation of the
// camera's yaw.
func (s *analysis) curves(yawDeg float64) []Curve {
	out := s.kneeCurves(yawDeg)
	if s.sc.Known() {
		out = append(out, s.hipHeight())
		out = append(out, s.holdCurves()...)
	}
	return out
}

// kneeCurves are the projection angles of both knees from the front, and the flexion of the near one
// from the side.
func (s *analysis) kneeCurves(yawDeg float64) []Curve {
	var out []Curve
	for _, side := range []Side{Left, Right} {
		if !s.hasLeg(side) {
			continue
		}
		sd := s.kneeSD(side)
		switch {
		case s.view == Front:
			thigh, shank := s.sideTan(side, Hip, Knee, s.thigh[side]), s.sideTan(side, Knee, Ankle, s.shank[side])
			out = append(out, reportCurve(string(side)+"_fppa_deg", unitDeg, s.fppaCurve(side, s.pos), func(i int) float64 {
				return math.Hypot(sd(i), yawDeg*(thigh(i)+shank(i)))
			}))
		case side == s.view.Near():
			out = append(out, reportCurve(string(side)+"_knee_flexion_deg", unitDeg, s.kneeFlexion(side, s.pos), sd))
		}
	}
	return out
}

// hipHeight is how high the hips are over the floor.
func (s *analysis) hipHeight() Curve {
	hip, ankle := s.middle(s.pos, Hip), s.middle(s.pos, Ankle)
	floor := median(ankle.y[s.near(s.when.lowest):s.near(s.when.settled())+1]) + ankleHeight*s.body
	height := s.newCurve(func(i int) float64 { return s.cm(floor - hip.y[i]) })
	return reportCurve("hip_height_cm", unitCM, height, func(i int) float64 {
		return math.Hypot(s.cm(s.sdOf(Hip, i)), s.sc.SD*math.Abs(floor-hip.y[i]))
	})
}

// holdCurves are how the hips move about where they were held: across over the whole landing, and
// across and up over the hold alone, which is what hold_ellipse is the ellipse of. There are none
// without a hold.
func (s *analysis) holdCurves() []Curve {
	a, b := s.span(s.when.still, s.when.holdEnd)
	if math.IsNaN(s.when.still) || a > b {
		return nil
	}
	hip := s.middle(s.pos, Hip)
	stood := median(hip.x[a : b+1])
	sway := s.sway(hip)
	centre := pt{median(sway.x[a : b+1]), median(sway.y[a : b+1])}
	inHold := func(px func(i int) float64) curve {
		return s.newCurve(func(i int) float64 {
			if i < a || i > b {
				return math.NaN()
			}
			return s.cm(px(i))
		})
	}
	sd := func(i int) float64 { return s.cm(s.sdOf(Hip, i)) }
	return []Curve{
		reportCurve("hip_across_cm", unitCM, s.newCurve(func(i int) float64 { return s.cm(hip.x[i] - stood) }), sd),
		reportCurve("hold_across_cm", unitCM, inHold(func(i int) float64 { return sway.x[i] - centre.x }), sd),
		reportCurve("hold_up_cm", unitCM, inHold(func(i int) float64 { return centre.y - sway.y[i] }), sd),
	}
}
