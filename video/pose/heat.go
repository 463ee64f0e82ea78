package pose

import "math"

// poseSide is the side of the square the landmark net looks at, and of its heat maps.
const (
	poseSide = 256
	heatSide = 64
)

// refined moves a point to the weighted middle of the heat map about it, where that
// map has a clear peak.
func refined(heat []float32, u, v float64) (float64, float64) {
	const cell, reach, peak = poseSide / heatSide, 3, 0.5
	cu, cv := int(u/cell), int(v/cell)
	if u < 0 || v < 0 || cu >= heatSide || cv >= heatSide {
		return u, v
	}
	var su, sv, sum, most float64
	for y := max(0, cv-reach); y <= min(heatSide-1, cv+reach); y++ {
		for x := max(0, cu-reach); x <= min(heatSide-1, cu+reach); x++ {
			w := logistic(float64(heat[y*heatSide+x]))
			su, sv, sum, most = su+w*float64(x), sv+w*float64(y), sum+w, math.Max(most, w)
		}
	}
	if most < peak {
		return u, v
	}
	return cell * su / sum, cell * sv / sum
}

func logistic(v float64) float64 { return 1 / (1 + math.Exp(-v)) }
