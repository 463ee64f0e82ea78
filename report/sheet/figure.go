package sheet

import (
	"html/template"
	"math"

	"steadfall/report"
	"steadfall/report/locale"
)

// A pose of the little figure that shows what a cue means. Angles are degrees, lengths are
// of a figure 120 high.
type pose struct {
	side   bool    // seen from the side, looking right; else from the front
	kneeIn float64 // how far both knees stand inside, front
	lean   float64 // of the trunk: to the right of the picture, or forwards
	tilt   float64 // of the pelvis, front
	stance float64 // half the distance of the feet, front; 0 for the usual
	feet   float64 // how far the toes point outwards, front
	lift   float64 // of one foot above the floor, front
	knee   float64 // bend, side
	toes   float64 // how far the toes hang below the heel, side
	air    float64 // above the floor
	moves  bool    // it does not stay where it is
	held   bool    // it does
}

// wrongAndRight are how an error looks and how it should be, by the checklists' items.
var wrongAndRight = map[string][2]pose{
	"knee-inside-toe":    {{kneeIn: 9}, {}},
	"knee-in-contact":    {{kneeIn: 9}, {}},
	"knee-in-most":       {{kneeIn: 9}, {}},
	"trunk-leans":        {{lean: 22}, {}},
	"trunk-side-contact": {{lean: 22}, {}},
	"hips-tilt":          {{tilt: 24}, {}},
	"stance-wide":        {{stance: 27}, {}},
	"stance-narrow":      {{stance: 5}, {}},
	"toe-in":             {{feet: -40}, {feet: 8}},
	"toe-out":            {{feet: 60}, {feet: 8}},
	"feet-apart-in-time": {{lift: 14}, {}},
	"stiff":              {{side: true, knee: 18, lean: 4}, {side: true, knee: 88, lean: 30}},
	"knee-bend-gain":     {{side: true, knee: 18, lean: 4}, {side: true, knee: 88, lean: 30}},
	"hip-bend-gain":      {{side: true, knee: 60, lean: 2}, {side: true, knee: 80, lean: 34}},
	"trunk-bend-gain":    {{side: true, knee: 70, lean: -2}, {side: true, knee: 80, lean: 34}},
	"knee-bend-contact":  {{side: true, knee: 4, lean: 2}, {side: true, knee: 35, lean: 14}},
	"hip-bend-contact":   {{side: true, knee: 20, lean: 0}, {side: true, knee: 35, lean: 22}},
	"trunk-bend-contact": {{side: true, knee: 30, lean: -6}, {side: true, knee: 35, lean: 22}},
	"foot-not-set":       {{side: true, knee: 20, lean: 8, toes: 62, air: 8}, {side: true, knee: 20, lean: 8, toes: 14, air: 8}},
	"heel-first":         {{side: true, knee: 25, lean: 8, toes: -24, air: 2}, {side: true, knee: 25, lean: 8, toes: 22, air: 6}},
	"slow-to-still":      {{moves: true}, {held: true}},
	"short-hold":         {{moves: true}, {held: true}},
	"foot-moves":         {{moves: true}, {held: true}},
	"feet-move":          {{moves: true}, {held: true}},
}

// cueFigure draws how an error looks beside how it should be; nothing for an item that no
// figure is known of. Words and marks say the same as colour.
func cueFigure(loc locale.Locale, item string) template.HTML {
	p, ok := wrongAndRight[item]
	if !ok {
		return ""
	}
	d := report.NewDrawing("cuefig", 0, -8, 200, 154, loc.Say("Two figures: not like the left one, like the right one"))
	p[0].draw(d, 0, report.Faint, "4 3")
	p[1].draw(d, 100, report.Clear, "")
	d.Shape(`<path d="m44 134 10 10m0-10-10 10" stroke="%s" stroke-width="3" fill="none"/>`, report.Faint)
	d.Shape(`<path d="m143 139 5 5 9-11" stroke="%s" stroke-width="3" fill="none"/>`, report.Clear)
	return d.HTML()
}

// limbs of the figure.
const (
	thigh, shank, trunk, foot = 27.0, 27.0, 32.0, 13.0
	floor                     = 124.0
)

// draw draws the figure with its middle 50 to the right of x.
func (p pose) draw(d *report.Drawing, x float64, colour, dash string) {
	d.Shape(`<g stroke="%s" stroke-width="4" stroke-linecap="round" stroke-linejoin="round" fill="none" stroke-dasharray="%s">`, colour, dash)
	if p.side {
		p.fromSide(d, x+44)
	} else {
		p.fromFront(d, x+50)
	}
	d.Shape(`</g><path d="M%g %g h76" stroke="%s" stroke-width="1.5"/>`, x+12, floor+3, report.Quiet)
}

func (p pose) fromFront(d *report.Drawing, x float64) {
	half := p.stance
	if half == 0 {
		half = 12
	}
	hipY := floor - p.air - 0.94*(thigh+shank)
	sin, cos := math.Sincos(p.tilt * math.Pi / 180)
	for _, s := range []float64{-1, 1} {
		hx, hy := x+s*8*cos, hipY+s*8*sin
		ax, ay := x+s*half, floor-p.air
		if s > 0 {
			ay -= p.lift
		}
		kx, ky := (hx+ax)/2+s*2-s*p.kneeIn, (hy+ay)/2
		fsin, fcos := math.Sincos(p.feet * math.Pi / 180)
		d.Shape(`<path d="M%.1f %.1f L%.1f %.1f L%.1f %.1f l%.1f %.1f"/>`, hx, hy, kx, ky, ax, ay, s*(2+8*fsin), 3*math.Max(fcos, 0.3))
	}
	d.Shape(`<path d="M%.1f %.1f L%.1f %.1f"/>`, x-8*cos, hipY-8*sin, x+8*cos, hipY+8*sin)
	sin, cos = math.Sincos(p.lean * math.Pi / 180)
	nx, ny := x+trunk*sin, hipY-trunk*cos
	d.Shape(`<path d="M%.1f %.1f L%.1f %.1f M%.1f %.1f L%.1f %.1f"/>`, x, hipY, nx, ny, nx-12*cos, ny-12*sin, nx+12*cos, ny+12*sin)
	d.Shape(`<circle cx="%.1f" cy="%.1f" r="8"/>`, nx+14*sin, ny-14*cos)
	switch {
	case p.moves:
		d.Shape(`<path stroke-width="2.5" stroke-dasharray="none" d="M%g %g h-10 m4-4 -4 4 4 4 M%g %g h10 m-4-4 4 4 -4 4"/>`, x-26, hipY, x+26, hipY)
	case p.held:
		d.Shape(`<path stroke-width="2.5" d="M%g %g v12 M%g %g v12"/>`, x-28, hipY-6, x+28, hipY-6)
	}
}

func (p pose) fromSide(d *report.Drawing, x float64) {
	rad := math.Pi / 180
	forward := p.knee * 0.42 // the shank leans forward by part of the knee's bend
	ax, ay := x, floor-p.air
	if p.toes > 0 { // the heel is up: the ankle stands above the toes
		ay -= foot * math.Sin(p.toes*rad)
	}
	kx, ky := ax+shank*math.Sin(forward*rad), ay-shank*math.Cos(forward*rad)
	back := (p.knee - forward) * rad
	hx, hy := kx-thigh*math.Sin(back), ky-thigh*math.Cos(back)
	nx, ny := hx+trunk*math.Sin(p.lean*rad), hy-trunk*math.Cos(p.lean*rad)
	tx, ty := ax+foot*math.Cos(p.toes*rad), ay+foot*math.Sin(p.toes*rad)
	d.Shape(`<path d="M%.1f %.1f L%.1f %.1f L%.1f %.1f L%.1f %.1f L%.1f %.1f"/>`, tx, ty, ax, ay, kx, ky, hx, hy, nx, ny)
	d.Shape(`<circle cx="%.1f" cy="%.1f" r="8"/>`, nx+14*math.Sin(p.lean*rad), ny-14*math.Cos(p.lean*rad))
}
