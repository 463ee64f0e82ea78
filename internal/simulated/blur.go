package simulated

import (
	"math"
	"math/rand/v2"

	"steadfall/kinematics"
)

// How the simulated points err: part of the variance stays for the clip, the rest is
// forgotten over a way of ar1Way body heights, and a little is fresh on each frame.
// From the differences of errors along the clips with exact truth; kinematics believes
// the same.
const (
	ar1Share   = 0.6
	ar1Way     = 0.08
	freshShare = 0.002
)

// Blur moves every point of a track as points err, by its stated standard deviation.
// bodyPx is the athlete's height in the picture.
func Blur(tr kinematics.Track, bodyPx float64, rng *rand.Rand) {
	fixed, changing, fresh := math.Sqrt(1-ar1Share), math.Sqrt(ar1Share), math.Sqrt(freshShare)
	for _, l := range kinematics.Landmarks() {
		fx, fy, dx, dy := rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()
		ps := tr.Points[l]
		for i := range ps {
			way := 0.0
			if i+1 < len(ps) {
				way = math.Hypot(ps[i+1].X-ps[i].X, ps[i+1].Y-ps[i].Y)
			}
			ps[i].X += ps[i].SD * (fixed*fx + changing*dx + fresh*rng.NormFloat64())
			ps[i].Y += ps[i].SD * (fixed*fy + changing*dy + fresh*rng.NormFloat64())
			keep := math.Exp(-way / (ar1Way * bodyPx))
			renew := math.Sqrt(1 - keep*keep)
			dx, dy = keep*dx+renew*rng.NormFloat64(), keep*dy+renew*rng.NormFloat64()
		}
	}
}
