package report

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// funcs are what the templates call to say things in a language.
func funcs(loc locale.Locale) template.FuncMap {
	return template.FuncMap{
		"say": loc.Say, "tell": loc.Tell, "note": loc.Note, "gravity": loc.Gravity, "told": loc.Told, "counted": loc.Count, "date": loc.Day,
		"pm": loc.Measure, "pmOf": loc.PlusMinus, "signed": loc.Signed, "num": loc.Rounded, "value": loc.Finding,
		"words": loc.MeasureWords, "task": loc.Task, "leg": loc.Leg, "viewWords": loc.View, "viewSeen": loc.ViewSeen,
		"progression": loc.Progression, "capture": loc.Capture, "scaleFrom": loc.ScaleFrom, "event": loc.Event,
		"cm": loc.CM, "unitOf": locale.Unit, "capital": locale.Capital, "minor": scoring.Minor,
		"diff": func(d *scoring.LimbDifference) string {
			if d == nil {
				return ""
			}
			return loc.PlusMinus(d.Value, d.SD)
		},
		"seconds":   func(v float64) string { return loc.Fixed(3, v) },
		"fixed1":    func(v float64) string { return loc.Fixed(1, v) },
		"fixed2":    func(v float64) string { return loc.Fixed(2, v) },
		"fixed3":    func(v float64) string { return loc.Fixed(3, v) },
		"percentOf": func(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) },
		"percent": func(p *float64) string {
			switch {
			case *p > 0.995:
				return loc.Say("over 99 %")
			case *p < 0.005:
				return loc.Say("under 1 %")
			}
			return fmt.Sprintf("%.0f %%", 100**p)
		},
		"rest": func(v float64) float64 { return 1 - v },
		"unit": func(u string) string { return strings.TrimPrefix(locale.Unit(u), "\u00a0") },
		"kg":   func() string { return loc.UnitOf("kg") },
		"threshold": func(f scoring.Finding) string {
			limit := strings.Replace(fmt.Sprintf("%.3g", *f.Threshold), "-", "−", 1)
			return loc.Say("error "+f.ErrorWhen+" %s", loc.Number(limit)+locale.Unit(f.Unit))
		},
		"verdict":    func(v scoring.Verdict) string { return loc.Say(locale.VerdictWords(v)) },
		"verdicts":   func() []scoring.Verdict { return locale.Verdicts },
		"change":     func(v scoring.ChangeVerdict) string { return loc.Say(v.Words()) },
		"last":       func(all []scoring.SessionMean) scoring.SessionMean { return all[len(all)-1] },
		"whole":      func(n *int) int { return *n },
		"holdLimits": func() string { return kinematics.HoldLimits },
		"trialsRule": func() string { return scoring.TrialsRule },
		"jpeg": func(b []byte) template.URL {
			return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(b))
		},
		"mp4": func(b []byte) template.URL {
			return template.URL("data:video/mp4;base64," + base64.StdEncoding.EncodeToString(b))
		},
	}
}
