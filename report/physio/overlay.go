package physio

import (
	"fmt"
	"html/template"

	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/chart"
	"steadfall/report/locale"
)

// overlay is landings laid over one another.
type overlay struct {
	Words string
	Lines template.HTML
}

// The room of one posture in an overlay, cm.
const (
	panelWide = 92
	panelHigh = 172
	panelFoot = 14 // below the ankles
)

// overlaysOf are the overlays of one trial: with the session before, and left on right.
func overlaysOf(loc locale.Locale, t Trial) []overlay {
	var out []overlay
	for _, v := range t.Result.Views {
		if panels := withBefore(loc, t, v.View); len(panels) > 0 {
			out = append(out, overlay{loc.Say("On the session before (grey, dashed), %s, contact on contact.", loc.ViewSeen(v.View)), panelled(panels)})
		}
		if v.View.IsSide() || t.Limb != kinematics.Both {
			continue
		}
		if panels := rightOnLeft(loc, t, v.View); len(panels) > 0 {
			out = append(out, overlay{loc.Say("The right leg (dashed) mirrored onto the left, ankle on ankle; the middle of the body is to the right."), panelled(panels)})
		}
	}
	return out
}

// withBefore lays each posture of a view on that of the session before.
func withBefore(loc locale.Locale, t Trial, view kinematics.View) (panels []panel) {
	for _, p := range t.Poses {
		before, ok := sameMoment(t.Before, p)
		if p.View != view || !ok {
			continue
		}
		panels = append(panels, panel{loc.Say(p.Moment), func(d *report.Drawing) {
			across(d, before, report.Faint, "3 3")
			stick(d, before, []kinematics.Side{kinematics.Left, kinematics.Right}, report.Faint, "3 3")
			across(d, p, chart.Looks[""].Colour, "")
			for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
				stick(d, p, []kinematics.Side{s}, chart.Looks[string(s)].Colour, "")
			}
		}})
	}
	return panels
}

// rightOnLeft lays the legs of each posture of a view on one another.
func rightOnLeft(loc locale.Locale, t Trial, view kinematics.View) (panels []panel) {
	for _, p := range t.Poses {
		if p.View == view {
			panels = append(panels, panel{loc.Say(p.Moment), func(d *report.Drawing) {
				leg(d, p, kinematics.Left, "")
				leg(d, p, kinematics.Right, "4 3")
			}})
		}
	}
	return panels
}

func sameMoment(all []Posture, p Posture) (Posture, bool) {
	for _, q := range all {
		if q.Moment == p.Moment && (q.View == p.View || q.View.IsSide() && p.View.IsSide()) {
			return q, true
		}
	}
	return Posture{}, false
}

// sticks are the lines of a body, part to part.
var sticks = [][2]kinematics.Part{
	{kinematics.Shoulder, kinematics.Hip},
	{kinematics.Hip, kinematics.Knee},
	{kinematics.Knee, kinematics.Ankle},
	{kinematics.Ankle, kinematics.Heel},
	{kinematics.Heel, kinematics.Toe},
}

// stick draws a posture, of the sides that are given.
func stick(d *report.Drawing, p Posture, sides []kinematics.Side, colour, dash string) {
	for _, s := range sides {
		for _, bone := range sticks {
			from, ok1 := p.CM[kinematics.On(s, bone[0])]
			to, ok2 := p.CM[kinematics.On(s, bone[1])]
			if ok1 && ok2 {
				line(d, from, to, colour, dash)
			}
		}
	}
}

// across draws the lines between the two shoulders and the two hips.
func across(d *report.Drawing, p Posture, colour, dash string) {
	for _, part := range []kinematics.Part{kinematics.Shoulder, kinematics.Hip} {
		left, ok1 := p.CM[kinematics.On(kinematics.Left, part)]
		right, ok2 := p.CM[kinematics.On(kinematics.Right, part)]
		if ok1 && ok2 && !p.View.IsSide() {
			line(d, left, right, colour, dash)
		}
	}
}

// leg draws one leg from its own ankle, the middle of the body to the right.
func leg(d *report.Drawing, p Posture, s kinematics.Side, dash string) {
	ankle, ok := p.CM[kinematics.On(s, kinematics.Ankle)]
	if !ok {
		return
	}
	inwards := 1.0
	if s == kinematics.Left { // on the right of the picture
		inwards = -1
	}
	to := func(q [2]float64) [2]float64 { return [2]float64{inwards * (q[0] - ankle[0]), q[1] - ankle[1]} }
	for _, bone := range sticks {
		from, ok1 := p.CM[kinematics.On(s, bone[0])]
		end, ok2 := p.CM[kinematics.On(s, bone[1])]
		if ok1 && ok2 {
			line(d, to(from), to(end), chart.Looks[string(s)].Colour, dash)
		}
	}
}

func line(d *report.Drawing, from, to [2]float64, colour, dash string) {
	if dash != "" {
		dash = ` stroke-dasharray="` + dash + `"`
	}
	d.Shape(`<path d="M%.1f %.1fL%.1f %.1f" stroke="%s"%s/>`, from[0], -from[1], to[0], -to[1], colour, dash)
}

// panel draws one posture with the name of its moment, from the middle between the ankles.
type panel struct {
	moment string
	draw   func(d *report.Drawing)
}

// panelled puts panels side by side.
func panelled(panels []panel) template.HTML {
	d := report.NewDrawing("overlay", 0, 0, panelWide*len(panels), panelHigh, "")
	for i, p := range panels {
		d.Shape(`<g transform="translate(%d %d)">`, panelWide*i+panelWide/2, panelHigh-panelFoot)
		d.Rule(fmt.Sprintf("M%d 0H%d", -panelWide/2, panelWide/2))
		d.Shape(`<g fill="none" stroke-width="2.2" stroke-linecap="round">`)
		p.draw(d)
		d.Shape("</g>")
		d.Words(4-panelWide/2, 10-panelHigh+panelFoot, 9, "start", report.Quiet, p.moment)
		d.Shape("</g>")
	}
	return d.HTML()
}
