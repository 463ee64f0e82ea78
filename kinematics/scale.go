package kinematics

import "math"

// ScaleFrom says where a scale came from.
type ScaleFrom string

// The sources of a scale, in order of trust.
const (
	FromLength  ScaleFrom = "known-length"
	FromHeight  ScaleFrom = "athlete-height"
	FromGravity ScaleFrom = "gravity" // bodies fall at 9.81 m/s²
)

// Scale turns pixels at the landing place into centimetres. From is empty where
// there is no scale.
type Scale struct {
	CMPerPx float64   `json:"cm_per_px"`
	SD      float64   `json:"sd"`
	From    ScaleFrom `json:"from"`
}

// Known reports whether there is a scale.
func (s Scale) Known() bool { return s.From != "" }

// scale returns the cm per px at the landing place, from the known length where
// there is one, else from the stature. When both are known and disagree beyond
// their standard deviations, a note says so.
func (s standing) scale(length *KnownLength, statureCM float64) (sc Scale, notes []Note) {
	byHeight := Scale{}
	if statureCM > 0 {
		c := statureCM / s.body
		byHeight = Scale{CMPerPx: c, SD: c * s.rel, From: FromHeight}
	}
	if length == nil {
		return byHeight, nil
	}
	px := math.Hypot(length.X2-length.X1, length.Y2-length.Y1)
	c := length.CM / px
	// Each end of the length is placed to 2 px; the length lies in the athlete's
	// plane to within 2 %, one standard deviation being 1 % (common practice, no source).
	sc = Scale{CMPerPx: c, SD: c * math.Hypot(2*math.Sqrt2/px, 0.01), From: FromLength}
	if byHeight.Known() {
		if d := math.Abs(byHeight.CMPerPx - c); d > 2*math.Hypot(sc.SD, byHeight.SD) {
			notes = append(notes, warning(NoteScalesDiffer, HintCheckScales, c, sc.SD, byHeight.CMPerPx, byHeight.SD))
		}
	}
	return sc, notes
}
