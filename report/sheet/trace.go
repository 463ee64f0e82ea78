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
	for _, v := range r.Views {
		s := r.Series[string(v.View)]
		if across := s["hip_across_cm"]; len(across) > 0 && len(across) == len(s["time_s"]) {
			return trace{loc, report.ZeroTime(v)}.draw(v, s["time_s"], across)
		}
	}
	return ""
}

// trace is a drawing of what moves to the side over time, from contact on.
type trace struct {
	loc  locale.Locale
	zero float64 // contact, seconds
}

func (t trace) reach() float64 {
	if t.loc.Imperial {
		return traceInch
	}
	return traceCM
}

func (t trace) x(s float64) float64 { return 40 + 310*(s-t.zero)/traceS }
func (t trace) y(v float64) float64 { return 60 - 52*v/t.reach() }

func (t trace) draw(v scoring.ViewResult, times, across []*float64) template.HTML {
	d := report.NewDrawing("trace", 0, 0, 360, 132, t.loc.Say("How far the hips moved to the side after landing"))
	t.hold(d, v)
	d.Rule("M40 8v104M40 60h310")
	edge := fmt.Sprintf("%g %s", t.reach(), t.loc.CM())
	d.Words(2, 16, 11, "start", report.Quiet, edge)
	d.Words(12, 64, 11, "start", report.Quiet, "0")
	d.Words(2, 114, 11, "start", report.Quiet, edge)
	for k := range int(traceS) + 1 {
		d.Words(t.x(t.zero+float64(k)), 128, 11, "middle", report.Quiet, fmt.Sprintf("%d s", k))
	}
	// What goes further than the drawing reaches leaves it.
	d.Shape(`<clipPath id="reach"><path d="M40 8h310v104H40Z"/></clipPath><path clip-path="url(#reach)" fill="none" stroke="%s" stroke-width="2" d="%s"/>`, report.Ink, t.path(times, across))
	return d.HTML()
}

// hold draws when the athlete was still.
func (t trace) hold(d *report.Drawing, v scoring.ViewResult) {
	for _, e := range v.Events {
		if e.Name != kinematics.StillFrom {
			continue
		}
		end := t.zero + traceS
		if i := slices.IndexFunc(v.Events, func(o kinematics.Event) bool { return o.Name == kinematics.HoldEnd }); i >= 0 {
			end = math.Min(end, v.Events[i].TimeS)
		}
		d.Shape(`<rect x="%.1f" y="8" width="%.1f" height="104" fill="#e3f1ec"/>`, t.x(e.TimeS), math.Max(t.x(end)-t.x(e.TimeS), 0))
		d.Words(t.x(e.TimeS)+4, 20, 11, "start", report.Clear, t.loc.Say("held"))
	}
}

// path is the way to the side, broken where it was not seen.
func (t trace) path(times, across []*float64) string {
	var b strings.Builder
	pen := "M"
	for i, s := range times {
		if s == nil || across[i] == nil || *s < t.zero || *s > t.zero+traceS {
			pen = "M"
			continue
		}
		fmt.Fprintf(&b, "%s%.1f %.1f", pen, t.x(*s), t.y(*across[i]))
		pen = "L"
	}
	return b.String()
}
