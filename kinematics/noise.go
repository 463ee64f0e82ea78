package kinematics

import "math"

// growth is how noise makes a measure larger, never smaller.
type growth int

const (
	asIs   growth = iota // it does not
	asArea               // a variance, to which that of noise is added
	asPath               // the sum of many small ways
	asSize               // one way, or the most of several
	asFall               // it does not, but the draws spread more than the value errs
)

// areaSpread is how much of the draws' spread an area's own error has, from simulated
// landings: the draws multiply noise with noise that the area already holds.
const areaSpread = 0.85

// fallSpread is how much of the draws' spread the error has of how far the hips rise or
// fall in the air, from simulated jumps: the times of take-off and landing, which the draws
// disturb, are found on the same points.
const fallSpread = 0.82

// withoutNoise takes out of a value what noise may have given it: as much as the
// disturbances, which are of the same size, gave it again. Areas add; of ways the squares
// do. Points that err less than they are stated to have given it less, so that half of it
// is taken out, and the standard deviation holds none as well as all. The draws are moved
// along.
func withoutNoise(draws []float64, v float64, g growth) (clean, sd float64) {
	sd = spread(draws, v)
	if g == asFall {
		centre := mean(draws)
		for i, d := range draws {
			draws[i] = centre + fallSpread*(d-centre)
		}
		return v, fallSpread * sd
	}
	power := 2.0
	if g == asArea {
		power = 1
	}
	sum := 0.0
	for _, d := range draws {
		sum += math.Pow(d, power)
	}
	grown := sum/float64(len(draws)) - math.Pow(v, power)
	if g == asIs || !(grown > 0) {
		return v, sd
	}
	all := math.Pow(math.Max(math.Pow(v, power)-grown, 0), 1/power)
	clean = (v + all) / 2
	if g == asArea || g == asPath { // noise on noise spreads up to twice as much as noise
		sd *= math.Max(v/math.Pow(math.Pow(v, power)+grown, 1/power), 0.5)
		if g == asArea {
			sd *= areaSpread
		}
	}
	centre, k := mean(draws), sd/spread(draws, v)
	for i, d := range draws {
		draws[i] = math.Max(clean+k*(d-centre), 0)
	}
	if g == asSize { // how much one way, or the most of several, picks out depends on how noise wanders
		return clean, math.Hypot(sd, (v-all)/2)
	}
	return clean, math.Hypot(sd, (v-all)/6)
}
