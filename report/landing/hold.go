package landing

import (
	"math"
	"strings"

	"gonum.org/v1/gonum/stat"

	"steadfall/kinematics"
	"steadfall/report/chart"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// ellipsePoints is of how many points an ellipse is drawn.
const ellipsePoints = 72

// holdChart draws the way of the hips during the hold with its 95 % ellipse; ok is false
// where no hold was measured.
func holdChart(loc locale.Locale, r scoring.Result, v scoring.ViewResult) (c chart.Chart, ok bool, err error) {
	s := r.Series[string(v.View)]
	across, up := s["hold_across_cm"], s["hold_up_cm"]
	var x, y []float64
	for i := range min(len(across), len(up)) {
		if across[i] != nil && up[i] != nil {
			x, y = append(x, *across[i]), append(y, *up[i])
		}
	}
	e := kinematics.NewEllipse(x, y)
	if e.Major == 0 {
		return c, false, nil
	}
	middle := [2]float64{stat.Mean(x, nil), stat.Mean(y, nil)}
	turn := e.AngleDeg * math.Pi / 180
	var way, round [][2]float64
	reach := 1.0 // cm or inches; under that all is noise
	put := func(to *[][2]float64, px, py float64) {
		*to = append(*to, [2]float64{math.Round(px*100) / 100, math.Round(py*100) / 100})
		reach = math.Max(reach, math.Max(math.Abs(px), math.Abs(py)))
	}
	for i := range x {
		put(&way, x[i], y[i])
	}
	for k := range ellipsePoints + 1 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / ellipsePoints)
		a, b := e.Major*cos, e.Minor*sin
		put(&round, middle[0]+a*math.Cos(turn)-b*math.Sin(turn), middle[1]+a*math.Sin(turn)+b*math.Cos(turn))
	}
	axis := chart.Axis{Unit: " " + loc.CM(), Reach: 2 * math.Ceil(reach/2)} // for round numbers
	f := chart.Frame{Key: []string{loc.Say("way of the hips"), loc.Say("95 % ellipse")}, Left: "52", Right: "16", Top: "34", Bottom: "44", X: axis, Y: axis}
	f.X.Name = loc.Say("to the side")
	if v.View.IsSide() {
		f.X.Name = loc.Say("forwards and back")
	}
	p := chart.New(f)
	p.Way(f.Key[0], chart.Stroke{Look: chart.Looks["left"], Width: 1.6, Opacity: 1}, way)
	p.Way(f.Key[1], chart.Stroke{Look: chart.Looks["right"], Width: 2.2, Opacity: 1}, round)
	words := ""
	for _, m := range r.Measures {
		if m.Name == "hold_ellipse" && m.View == v.View {
			words = " " + loc.Say("Without what noise adds its area is %s.", loc.PlusMinus(m.Value, m.SD)+locale.Unit(m.Unit))
		}
	}
	c, err = p.Finish(chart.Chart{
		ID:      "hold-" + strings.ReplaceAll(string(v.View), "_", "-"),
		Caption: loc.Say("The hips during the hold, %s, and the ellipse that holds 95 %% of their places.", loc.ViewSeen(v.View)) + words,
		Box:     "width:320px;max-width:100%;height:316px",
	})
	return c, err == nil, err
}
