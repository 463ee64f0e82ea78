package kinematics

import "math"

// Gravity is the standard acceleration of free fall, m/s².
const Gravity = 9.81

// FlightHeightM is the height in metres of a jump with a flight of t seconds,
// h = g·t²/8, whatever the sign of t. It takes the body to land in the posture it left in; landing with
// bent joints adds to it (Yamashita et al. 2020, Appl Sci 10:776: 2.5 cm on
// average).
func FlightHeightM(t float64) float64 { return Gravity * t * t / 8 }

// PostureBiasM is by how much the flight time makes a jump of h metres seem higher when
// the body's centre is d metres lower at landing than at take-off: the flight lasts
// T = (v + √(v² + 2gd))/g with v = √(2gh), and g·T²/8 is taken for h. It is negative where
// the body is higher at landing, and NaN where it would not come so high, d < −h, or h < 0.
func PostureBiasM(h, d float64) float64 {
	v := math.Sqrt(2 * Gravity * h)
	return FlightHeightM((v+math.Sqrt(v*v+2*Gravity*d))/Gravity) - h
}

// DropSpeed is the speed in m/s at which a body that fell freely by h metres from rest
// arrives, v = √(2gh), and the time in seconds that it took, t = √(2h/g). Both are NaN for h < 0.
func DropSpeed(h float64) (v, t float64) {
	return math.Sqrt(2 * Gravity * h), math.Sqrt(2 * h / Gravity)
}
