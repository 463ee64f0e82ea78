package report

import (
	"math"
	"sort"
	"strings"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// Curve is a curve that pages draw: its name in a series, what it is, and its unit.
type Curve struct{ Name, Title, Unit string }

// Curves are those that pages draw, in their order.
var Curves = []Curve{
	{"fppa_deg", locale.Message("Knee in (+) or out (−)"), "deg"},
	{"knee_flexion_deg", locale.Message("Knee bend"), "deg"},
	{"hip_height_cm", locale.Message("Hip height above the landing floor"), "cm"},
}

// In are the names that the curve has in a series: of each leg, or of the body.
func (c Curve) In(s scoring.Series) (names []string) {
	for _, side := range []string{"left_", "right_", ""} {
		if _, ok := s[side+c.Name]; ok {
			names = append(names, side+c.Name)
		}
	}
	return names
}

// SideOf is the side of a curve by its name in a series: left, right, or empty for the body.
func SideOf(name string) string {
	for _, side := range []string{"left", "right"} {
		if strings.HasPrefix(name, side+"_") {
			return side
		}
	}
	return ""
}

// CurveName is one curve of a series in the words of the reports. Side is left, right, or
// empty for the body.
type CurveName struct{ Name, Words, Unit, Side string }

// CurveNames are the curves of a series that reports show, in their order.
func CurveNames(s scoring.Series) []CurveName {
	var out []CurveName
	for _, c := range Curves {
		for _, name := range c.In(s) {
			out = append(out, CurveName{name, c.Title, strings.TrimSpace(locale.Unit(c.Unit)), SideOf(name)})
		}
	}
	return out
}

// ZeroTime is the contact, or where there is none the start of the movement.
func ZeroTime(v scoring.ViewResult) float64 {
	for _, want := range []kinematics.EventName{kinematics.InitialContact, kinematics.DropStart} {
		for _, e := range v.Events {
			if e.Name == want {
				return e.TimeS
			}
		}
	}
	return 0
}

// At interpolates a curve at a time; NaN outside and in gaps.
func At(times, v []*float64, t float64) float64 {
	i := sort.Search(len(times), func(i int) bool { return *times[i] > t }) - 1
	if i < 0 || i >= len(times) || v[i] == nil {
		return math.NaN()
	}
	if i+1 == len(times) {
		if *times[i] == t {
			return *v[i]
		}
		return math.NaN()
	}
	if v[i+1] == nil {
		return math.NaN()
	}
	f := (t - *times[i]) / (*times[i+1] - *times[i])
	return *v[i]*(1-f) + *v[i+1]*f
}

// LastTime is when a series ends, seconds.
func LastTime(s scoring.Series) float64 {
	t := s["time_s"]
	if len(t) == 0 {
		return 0
	}
	return *t[len(t)-1]
}
