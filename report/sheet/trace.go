package sheet

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// The trace shows the hips' way to the side from contact on, so many seconds and so many
// centimetres to each side.
const (
	traceS    = 4.0
	traceCM   = 10.0
	traceInch = 4.0 // where inches are asked for
)

// holdTrace draws how steady the hold was; nothing where the sway was not seen.
func holdTrace(loc locale.Locale, r scoring.Result) template.HTML {
	reach := traceCM
	if loc.Imperial {
		reach = traceInch
	}
	for _, v := range r.Views {
		s := r.Series[string(v.View)]
		times, across := s["time_s"], s["hip_across_cm"]
		if len(across) == 0 || len(across) != len(times) {
			continue
		}
		zero := report.ZeroTime(v)
		x := func(t float64) float64 { return 40 + 310*(t-zero)/traceS }
		y := func(v float64) float64 { return 60 - 52*v/reach }
		var b strings.Builder
		fmt.Fprintf(&b, `<svg class="trace" viewBox="0 0 360 132" role="img" aria-label="%s">`, template.HTMLEscapeString(loc.Say("How far the hips moved to the side after landing")))
		for _, e := range v.Events {
			if e.Name == kinematics.StillFrom {
				end := zero + traceS
				if i := slices.IndexFunc(v.Events, func(o kinematics.Event) bool { return o.Name == kinematics.HoldEnd }); i >= 0 {
					end = math.Min(end, v.Events[i].TimeS)
				}
				fmt.Fprintf(&b, `<rect x="%.1f" y="8" width="%.1f" height="104" fill="#e3f1ec"/><text x="%.1f" y="20" font-size="11" fill="#00694d">%s</text>`, x(e.TimeS), math.Max(x(end)-x(e.TimeS), 0), x(e.TimeS)+4, template.HTMLEscapeString(loc.Say("held")))
			}
		}
		edge := fmt.Sprintf("%g %s", reach, loc.CM())
		fmt.Fprintf(&b, `<path d="M40 8v104M40 60h310" stroke="#d5dae0" fill="none"/><g font-size="11" fill="#57606a"><text x="2" y="16">%[1]s</text><text x="12" y="64">0</text><text x="2" y="114">%[1]s</text>`, edge)
		for k := range int(traceS) + 1 {
			fmt.Fprintf(&b, `<text x="%.0f" y="128" text-anchor="middle">%d s</text>`, x(zero+float64(k)), k)
		}
		// What goes further than the drawing reaches leaves it.
		b.WriteString(`</g><clipPath id="reach"><path d="M40 8h310v104H40Z"/></clipPath><path clip-path="url(#reach)" fill="none" stroke="#1b1f23" stroke-width="2" d="`)
		pen := "M"
		for i, t := range times {
			if t == nil || across[i] == nil || *t < zero || *t > zero+traceS {
				pen = "M"
				continue
			}
			fmt.Fprintf(&b, "%s%.1f %.1f", pen, x(*t), y(*across[i]))
			pen = "L"
		}
		b.WriteString(`"/></svg>`)
		return template.HTML(b.String())
	}
	return ""
}
