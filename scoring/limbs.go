package scoring

import (
	"math"

	"steadfall/kinematics"
)

// LimbDifference is how the legs differ in one measure of one landing, right minus left in
// the unit of the measure, with its standard deviation. It is formed draw by draw, so that what moves both legs
// together cancels and camera yaw, which moves the knees apart, counts twice.
type LimbDifference struct {
	Name  string          `json:"name"`
	View  kinematics.View `json:"view"`
	Value float64         `json:"value"`
	SD    float64         `json:"sd"`
	Unit  string          `json:"unit"`
	Real  bool            `json:"real"` // beyond twice its standard deviation
}

// Limbs compares the legs of a landing, in the order of its measures, those that were seen of
// both. SD is the sample standard deviation of right minus left over the draws, or √(σ²_left +
// σ²_right) without draws; a difference is Real when it is beyond 2·SD. Only differences are
// formed: a ratio means nothing for angles that pass through zero, or where higher is worse
// (LimbIndex is for heights and distances). Common practice, no source.
func Limbs(l kinematics.Landing) []LimbDifference {
	var out []LimbDifference
	for _, left := range l.Measures {
		right, ok := l.Measure(left.Name, kinematics.Right)
		if left.Side != kinematics.Left || !ok || left.YesNo() {
			continue
		}
		d := LimbDifference{Name: left.Name, View: l.View, Value: right.Value - left.Value, Unit: left.Unit}
		d.SD = spreadOf(right.Draws, left.Draws)
		if math.IsNaN(d.SD) {
			d.SD = math.Hypot(left.SD, right.SD)
		}
		d.Real = math.Abs(d.Value) > 2*d.SD
		out = append(out, d)
	}
	return out
}

// spreadOf is the standard deviation of a minus b over the draws; NaN without draws.
func spreadOf(a, b []float64) float64 {
	n := float64(len(a))
	if len(a) != len(b) || n < 2 {
		return math.NaN()
	}
	var mean, sum float64
	for i := range a {
		mean += (a[i] - b[i]) / n
	}
	for i := range a {
		sum += sq(a[i] - b[i] - mean)
	}
	return math.Sqrt(sum / (n - 1))
}

// LimbIndex is the lesser of two heights, distances or times, both over 0 and in one unit, as
// a percentage of the greater, with its standard deviation:
//
//	percent = 100 · lesser/greater,   sd = percent · √((σ_a/a)² + (σ_b/b)²)
//
// 100 is the same; the errors of a and b are taken to be independent (JCGM 100:2008, from memory).
// Values of 0 or less mean nothing; it does not check them. Not for measures of which more is
// worse. The index is common practice (Davies et al. 2020 on its use).
func LimbIndex(a, sdA, b, sdB float64) (percent, sd float64) {
	if a > b {
		a, b, sdA, sdB = b, a, sdB, sdA
	}
	percent = 100 * a / b
	return percent, percent * math.Hypot(sdA/a, sdB/b)
}
