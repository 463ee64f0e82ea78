package report

import (
	"fmt"
	"html/template"
	"strings"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// Posture is where the joints were at one moment of a landing: cm from the middle between
// the ankles at contact, x to the right of the picture, or forwards from the side, y up.
type Posture struct {
	View   kinematics.View
	Moment string
	CM     map[kinematics.Landmark][2]float64
}

// postureMoments are the moments that are laid over one another.
var postureMoments = []struct {
	word  string
	event kinematics.EventName
}{{locale.Message("contact"), kinematics.InitialContact}, {locale.Message("deepest"), kinematics.Lowest}, {locale.Message("still"), kinematics.StillFrom}}

// NewPostures reads the postures of a view from its track. There are none where the scale
// or the ankles at contact are not known.
func NewPostures(t kinematics.Track, v scoring.ViewResult) []Posture {
	if v.Scale == nil {
		return nil
	}
	var out []Posture
	var foot [2]float64
	for k, m := range postureMoments {
		px, ok := pointsAt(t, v, m.event)
		if k == 0 {
			if ok {
				foot, ok = anklesOf(px)
			}
			if !ok {
				return nil
			}
		}
		if !ok {
			continue
		}
		ahead := v.Scale.CMPerPx
		if v.View == kinematics.SideLeft { // who shows the left side faces the left of the picture
			ahead = -ahead
		}
		p := Posture{v.View, m.word, map[kinematics.Landmark][2]float64{}}
		for l, q := range px {
			p.CM[l] = [2]float64{ahead * (q[0] - foot[0]), -v.Scale.CMPerPx * (q[1] - foot[1])}
		}
		out = append(out, p)
	}
	return out
}

// pointsAt are the points of a track at an event, px.
func pointsAt(t kinematics.Track, v scoring.ViewResult, name kinematics.EventName) (map[kinematics.Landmark][2]float64, bool) {
	for _, e := range v.Events {
		if e.Name != name {
			continue
		}
		for i, n := range t.Frame {
			if n != e.Frame {
				continue
			}
			out := map[kinematics.Landmark][2]float64{}
			for _, l := range kinematics.Landmarks() {
				if p := t.Points[l][i]; p.Seen() {
					out[l] = [2]float64{p.X, p.Y}
				}
			}
			return out, true
		}
	}
	return nil, false
}

// anklesOf is the middle of the ankles that were seen.
func anklesOf(px map[kinematics.Landmark][2]float64) (mid [2]float64, ok bool) {
	n := 0.0
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		if p, ok := px[kinematics.On(s, kinematics.Ankle)]; ok {
			mid, n = [2]float64{mid[0] + p[0], mid[1] + p[1]}, n+1
		}
	}
	return [2]float64{mid[0] / n, mid[1] / n}, n > 0
}

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
func overlaysOf(loc locale.Locale, t PhysioTrial) []overlay {
	var out []overlay
	for _, v := range t.Result.Views {
		var panels []string
		for _, p := range t.Poses {
			before, ok := sameMoment(t.Before, p)
			if p.View != v.View || !ok {
				continue
			}
			panels = append(panels, across(before, "#8a939c", "3 3")+stick(before, "", "#8a939c", "3 3")+across(p, "#444444", "")+stick(p, "left", looks["left"].colour, "")+stick(p, "right", looks["right"].colour, "")+label(loc.Say(p.Moment)))
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
			line(&b, to(from), to(end), looks[string(s)].colour, dash)
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
