package kinematics

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// Each row names where its expected value was published or computed; docs/sources.md has more.
func TestPublishedValues(t *testing.T) {
	v, fall := DropSpeed(0.30)
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		// Unit cases, computed (docs/sources.md, Projection angle); y down in pictures.
		{"FPPA straight", FPPADeg(Right, 0, -2, 0, -1, 0, 0), 0, 1e-9},
		{"FPPA right leg, knee in", FPPADeg(Right, 0, -2, 0.1, -1, 0, 0), 11.4212, 1e-4},
		{"FPPA left leg, same points", FPPADeg(Left, 0, -2, 0.1, -1, 0, 0), -11.4212, 1e-4},
		// Ageberg et al. 2010: shank 89.0° and thigh 77.4° to the horizontal give 11.6°.
		{"FPPA from segment angles", ageberg(89.0, 77.4), 11.6, 0.05},
		// Computed with g = 9.81 (docs/sources.md, Flight and fall).
		{"flight height 0.5 s", FlightHeightM(0.5), 0.30656, 1e-5},
		{"flight height 0.537 s", FlightHeightM(0.537), 0.3536, 1e-4},
		{"drop speed 0.30 m", v, 2.4261, 1e-4},
		{"drop time 0.30 m", fall, 0.2473, 1e-4},
		// A centre 5.3 cm lower at landing reads 26.0 mm too high (computed), as Yamashita et al.
		// 2020 found on average (25 mm).
		{"posture bias", 1000 * PostureBiasM(0.35, 0.053), 26.0, 0.1},
		{"posture bias, h 0.20", 1000 * PostureBiasM(0.20, 0.05), 24, 0.5},
		// Drop jump, contact 0.239 s and flight 0.310 s (docs/sources.md, Force-plate jumps).
		{"drop jump height", FlightHeightM(0.310), 0.1178, 1e-4},
		{"reactive strength", FlightHeightM(0.310) / 0.239, 0.493, 5e-4},
		// Squat and countermovement jump of the same section: the ratio of heights is 1.122.
		{"stretch over squat jump", FlightHeightM(0.537) / FlightHeightM(0.507), 1.122, 1e-3},
		{"jump from the force record", FlightHeightM(0.4167), 0.213, 5e-4},
		// Yaw of 10°, thigh leaning 50°, shank 30°: computed (docs/sources.md, Camera yaw).
		{"yaw", askew(math.Tan(50/deg), math.Tan(30/deg), 10/deg) * deg, 17.42, 0.01},
		// One frame at 60 Hz in 0.5 s moves the height by 20.4 mm (computed: g·T·Δt/4).
		{"one frame of flight", 1000 * (FlightHeightM(0.5) - FlightHeightM(0.5-1.0/60)), 20.4 - 0.34, 0.1},
		// Formula, and 400,000 draws that agree (docs/sources.md, Angle from points).
		{"angle sd 200/200/180", angleSD(200, 200, 180, 2, 2, 2), 1.4035, 1e-3},
		{"angle sd 367/369/170", angleSD(367, 369, 170, 3, 3, 3), 1.1412, 1e-3},
		{"angle sd 150/150/165", angleSD(150, 150, 165, 3, 3, 3), 2.7909, 1e-3},
		{"angle sd 300/300/100", angleSD(300, 300, 100, 3, 3, 3), 1.1946, 1e-3},
		// Straight stance, from the fractions in Winter 2009 (docs/sources.md, Mass centre).
		{"centre of mass standing", stanceCentre(), 0.583523, 1e-6},
		// 95th percentile of chi-square with 2 degrees of freedom.
		{"chi-square", chiSquare95, distuv.ChiSquared{K: 2}.Quantile(0.95), 1e-9},
		{"law of cosines, straight", flexionFromLengths(40, 40, 80), 0, 1e-6},
		{"law of cosines, square", flexionFromLengths(3, 4, 5), 90, 1e-9},
	} {
		near(t, c.what, c.got, c.want, c.tol)
	}
}

// ageberg is the projection angle of a right leg whose shank and thigh stand at
// those angles to the horizontal, knee left of the ankle, hip left of the knee.
func ageberg(shank, thigh float64) float64 {
	knee := pt{-math.Cos(shank / deg), -math.Sin(shank / deg)}
	hip := knee.plus(pt{-math.Cos(thigh / deg), -math.Sin(thigh / deg)})
	return fppa(Right, hip, knee, pt{0, 0})
}

func stanceCentre() float64 {
	c := weigh(pt{0, -.818}, pt{0, -.530}, pt{0, -.285}, pt{0, -.039}, pt{0, -.0195})
	return -c.y
}

// Ten points (chi-square form 45.0505) and a diagonal case, computed (docs/sources.md, Ellipse).
func TestEllipse(t *testing.T) {
	e := NewEllipse([]float64{1, 2, 3, 4, 5, 6, 7, 8, 4.5, 3.5}, []float64{2, 1, 4, 3, 6, 5, 8, 7, 4.5, 5.5})
	near(t, "area", e.Area, 45.0505, 1e-3)
	near(t, "major", e.Major, 7.29777, 1e-4)
	near(t, "minor", e.Minor, 1.96499, 1e-4)
	near(t, "angle", e.AngleDeg, 45, 1e-9)
	d := math.Sqrt(1.5)
	e = NewEllipse([]float64{2 * d, -2 * d, 0, 0}, []float64{0, 0, d, -d})
	near(t, "diagonal area", e.Area, 37.6455, 1e-3)
	near(t, "diagonal major", e.Major, 4.89549, 1e-4)
}

// Winter 2009, appendix A: raw coordinates of a walk (A.1), from which the printed
// filtered positions (A.2) and knee angles (A.4) follow at 5 Hz. The printed values
// are in docs/sources.md, Walk; frames 16–91 are free of what stood beyond the table's ends.
func TestWinterWalk(t *testing.T) {
	rows := winter(t)
	const dt = 0.0143
	col := func(name int) []float64 {
		v := make([]float64, len(rows))
		for i, r := range rows {
			v[i] = r[name] / 100
		}
		return lowPass(v, 5, 1/dt)
	}
	hipX, hipY := col(winterHip), col(winterHip+1)
	kneeX, kneeY := col(winterKnee), col(winterKnee+1)
	fibX, fibY := col(winterFibula), col(winterFibula+1)
	ankX, ankY := col(winterAnkle), col(winterAnkle+1)
	for _, c := range []struct {
		frame      int
		x, y, knee float64 // hip position (A.2, m) and knee angle (A.4, deg), as printed
	}{
		{20, 0.8335, 0.8189, 16.9},
		{28, 1.0183, 0.7959, -0.6},
		{32, 1.1121, 0.8023, 7.4},
		{40, 1.2675, 0.8282, 15.2},
		{50, 1.4239, 0.8255, 7.6},
		{60, 1.5999, 0.8018, 8.9},
		{70, 1.8505, 0.7851, 47.6},
		{80, 2.0473, 0.8238, 61.3},
		{90, 2.2518, 0.8124, 10.9},
	} {
		i := c.frame - 1
		near(t, "hip x", hipX[i], c.x, 0.06e-3)
		near(t, "hip y", hipY[i], c.y, 0.06e-3)
		thigh := math.Atan2(hipY[i]-kneeY[i], hipX[i]-kneeX[i]) * deg
		leg := math.Atan2(fibY[i]-ankY[i], fibX[i]-ankX[i]) * deg // fibula head, not epicondyle
		near(t, "knee", thigh-leg, c.knee, 0.06)
	}
}

// Columns of the table: frame, time, then x and y of rib cage, hip, knee, fibula
// head, ankle, heel, metatarsal, toe.
const (
	winterHip    = 4
	winterKnee   = 6
	winterFibula = 8
	winterAnkle  = 10
)

func winter(t *testing.T) [][]float64 {
	t.Helper()
	dir := os.Getenv("STEADFALL_REFERENCE_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "shared", "data")
	}
	f, err := os.Open(filepath.Join(dir, "winter-gait", "WinterTableA1.txt"))
	if err != nil {
		t.Skip("the reference data is not here; set STEADFALL_REFERENCE_DATA to its folder")
	}
	defer f.Close()
	var rows [][]float64
	for s := bufio.NewScanner(f); s.Scan(); {
		fields := strings.Fields(s.Text())
		var r []float64
		for _, w := range fields {
			if v, err := strconv.ParseFloat(w, 64); err == nil {
				r = append(r, v)
			}
		}
		if len(r) == len(fields) && len(r) >= 12 {
			rows = append(rows, r)
		}
	}
	if len(rows) != 106 {
		t.Fatalf("the table has %d rows, want 106", len(rows))
	}
	return rows
}
