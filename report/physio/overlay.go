package physio

import (
	"fmt"
	"html/template"
	"strings"

	"steadfall/kinematics"
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
		var panels []string
		for _, p := range t.Poses {
			before, ok := sameMoment(t.Before, p)
			if p.View != v.View || !ok {
				continue
			}
			panels = append(panels, across(before, "#8a939c", "3 3")+stick(before, "", "#8a939c", "3 3")+across(p, "#444444", "")+stick(p, "left", chart.Looks["left"].Colour, "")+stick(p, "right", chart.Looks["right"].Colour, "")+label(loc.Say(p.Moment)))
		}
		if len(panels) > 0 {
			out = append(out, overlay{loc.Say("On the session before (grey, dashed), %s, contact on contact.", loc.ViewSeen(v.View)), panelled(panels)})
		}
		if v.View.IsSide() || t.Limb != kinematics.Both {
			continue
		}
		panels = nil
		for _, p := range t.Poses {
			if p.View == v.View {
				panels = append(panels, leg(p, kinematics.Left, "")+leg(p, kinematics.Right, "4 3")+label(loc.Say(p.Moment)))
			}
		}
		if len(panels) > 0 {
			out = append(out, overlay{loc.Say("The right leg (dashed) mirrored onto the left, ankle on ankle; the middle of the body is to the right."), panelled(panels)})
		}
	}
	return out
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

// stick draws a posture, of one side or of both.
func stick(p Posture, side, colour, dash string) string {
	var b strings.Builder
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		if side != "" && side != string(s) {
			continue
		}
		for _, bone := range sticks {
			from, ok1 := p.CM[kinematics.On(s, bone[0])]
			to, ok2 := p.CM[kinematics.On(s, bone[1])]
			if ok1 && ok2 {
				line(&b, from, to, colour, dash)
			}
		}
	}
	return b.String()
}

// across draws the lines between the two shoulders and the two hips.
func across(p Posture, colour, dash string) string {
	var b strings.Builder
	for _, part := range []kinematics.Part{kinematics.Shoulder, kinematics.Hip} {
		left, ok1 := p.CM[kinematics.On(kinematics.Left, part)]
		right, ok2 := p.CM[kinematics.On(kinematics.Right, part)]
		if ok1 && ok2 && !p.View.IsSide() {
			line(&b, left, right, colour, dash)
		}
	}
	return b.String()
}

// leg draws one leg from its own ankle, the middle of the body to the right.
func leg(p Posture, s kinematics.Side, dash string) string {
	ankle, ok := p.CM[kinematics.On(s, kinematics.Ankle)]
	if !ok {
		return ""
	}
	inwards := 1.0
	if s == kinematics.Left { // on the right of the picture
		inwards = -1
	}
	to := func(q [2]float64) [2]float64 { return [2]float64{inwards * (q[0] - ankle[0]), q[1] - ankle[1]} }
	var b strings.Builder
	for _, bone := range sticks {
		from, ok1 := p.CM[kinematics.On(s, bone[0])]
		end, ok2 := p.CM[kinematics.On(s, bone[1])]
		if ok1 && ok2 {
			line(&b, to(from), to(end), chart.Looks[string(s)].Colour, dash)
		}
	}
	return b.String()
}

func line(b *strings.Builder, from, to [2]float64, colour, dash string) {
	if dash != "" {
		dash = ` stroke-dasharray="` + dash + `"`
	}
	fmt.Fprintf(b, `<path d="M%.1f %.1fL%.1f %.1f" stroke="%s"%s/>`, from[0], -from[1], to[0], -to[1], colour, dash)
}

func label(moment string) string {
	return fmt.Sprintf(`<text x="%d" y="%d" stroke="none" fill="#57606a" font-size="9">%s</text>`, 4-panelWide/2, 10-panelHigh+panelFoot, template.HTMLEscapeString(moment))
}

// panelled puts panels side by side.
func panelled(panels []string) template.HTML {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="overlay" viewBox="0 0 %d %d" fill="none" stroke-width="2.2" stroke-linecap="round" aria-hidden="true">`, panelWide*len(panels), panelHigh)
	for i, p := range panels {
		fmt.Fprintf(&b, `<g transform="translate(%d %d)"><path d="M%d 0H%d" stroke="#d5dae0" stroke-width="1"/>%s</g>`, panelWide*i+panelWide/2, panelHigh-panelFoot, -panelWide/2, panelWide/2, p)
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}
