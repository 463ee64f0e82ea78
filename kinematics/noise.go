package kinematics

import "math"

// noiseBias is how noise makes a measure larger, never smaller.
type noiseBias int

const (
	asIs   noiseBias = iota // it does not
	asArea                  // a variance, to which that of noise is added
	asPath                  // the sum of many small ways
	asSize                  // one way, or the most of several
	asFall                  // it does not, but the draws spread more than the value errs
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
func withoutNoise(draws []float64, v float64, g noiseBias) (clean, sd float64) {
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

// spread is the standard deviation of the draws about their mean; a value that no
// disturbance moves is still known to no better than its print.
func spread(d []float64, v float64) float64 {
	m := mean(d)
	var sum float64
	for _, x := range d {
		sum += sq(x - m)
	}
	return math.Max(math.Sqrt(sum/float64(len(d)-1)), 1e-6*math.Max(1, math.Abs(v)))
}

// The error of a landmark lasts: part of its variance is where on the body it was put
// and stays for the whole clip, the rest changes as the body moves, whatever the time
// that takes, and is forgotten over ar1Way. What is fresh on every frame has been
// filtered away. Both are from the clips with exact truth (docs/numbers.md, "How sure is
// a measure").
const (
	ar1Share = 0.6  // of the variance
	ar1Way   = 0.08 // body heights
)
