package report

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"math"
	"regexp"
	"strings"
	"sync"
	"time"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// funcs are what the templates call to say things in a language.
func (s Speech) funcs() template.FuncMap {
	return template.FuncMap{
		"say": s.Say, "tell": s.tell, "note": s.note, "told": s.told, "counted": s.count, "date": s.day,
		"pm": s.measure, "pmOf": s.plusMinus, "signed": s.signed, "now": s.now, "earlier": s.earlier,
		"diff": func(d *scoring.LimbDifference) string {
			if d == nil {
				return ""
			}
			return s.plusMinus(d.Value, d.SD)
		},
		"num":       func(v, sd float64) string { return s.number(number(v, sd)) },
		"seconds":   func(v float64) string { return s.fixed(3, v) },
		"fixed1":    func(v float64) string { return s.fixed(1, v) },
		"fixed2":    func(v float64) string { return s.fixed(2, v) },
		"fixed3":    func(v float64) string { return s.fixed(3, v) },
		"percentOf": func(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) },
		"percent": func(p *float64) string {
			switch {
			case *p > 0.995:
				return s.Say("over 99 %")
			case *p < 0.005:
				return s.Say("under 1 %")
			}
			return fmt.Sprintf("%.0f %%", 100**p)
		},
		"rest":   func(v float64) float64 { return 1 - v },
		"unitOf": unit,
		"unit":   func(u string) string { return strings.TrimPrefix(unit(u), "\u00a0") },
		"cm":     s.cm,
		"kg":     func() string { return s.unitOf("kg") },
		"value":  func(f scoring.Finding) string { return s.number(FindingNumber(f)) },
		"threshold": func(f scoring.Finding) string {
			limit := strings.Replace(fmt.Sprintf("%.3g", *f.Threshold), "-", "−", 1)
			return s.Say("error "+f.ErrorWhen+" %s", s.number(limit)+unit(f.Unit))
		},
		"words":     s.words,
		"task":      func(task kinematics.Task, limb kinematics.Side) string { return taskSaid(s, task, limb) },
		"leg":       s.leg,
		"viewWords": func(v kinematics.View) string { return s.Say(viewWords(v)) },
		"viewSeen":  s.viewSeen,
		"verdict":   func(v scoring.Verdict) string { return s.Say(VerdictWords(v)) },
		"verdicts":  func() []scoring.Verdict { return verdicts },
		"earned":    func(e scoring.Earned) string { return s.Say(earnedWords[e]) },
		"capture": func(check string) string {
			if words, ok := captureWords[check]; ok {
				return s.Say(words)
			}
			return check
		},
		"change":     func(v scoring.ChangeVerdict) string { return s.Say(v.Words()) },
		"scaleFrom":  func(f kinematics.ScaleFrom) string { return s.Say(scaleFrom(f)) },
		"event":      func(e kinematics.EventName) string { return s.Say(strings.ReplaceAll(string(e), "_", " ")) },
		"last":       func(all []scoring.SessionMean) scoring.SessionMean { return all[len(all)-1] },
		"minor":      scoring.Minor,
		"capital":    capital,
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

// captureWords are what is looked at in how a clip was filmed.
var captureWords = map[string]string{
	"frame_rate": "frame rate", "athlete_height_px": "height of the athlete in the picture", "feet_to_edge_px": "feet from the edge of the picture",
}

// tell is a sentence that the measuring or a person wrote. Where the language has no words
// for it, it stands in English and says so to those who hear the page.
func (s Speech) tell(words string) template.HTML {
	said := s.Say(words)
	if said == words && words != "" && s.foreign() {
		var ok bool
		if said, ok = s.retold(words); !ok {
			return template.HTML(`<span lang="en">` + template.HTMLEscapeString(words) + "</span>")
		}
	}
	return template.HTML(template.HTMLEscapeString(said))
}

// filledIn is a sentence of the measuring with numbers in it: the message that it is, and what
// finds the numbers in its English.
type filledIn struct {
	message string
	finds   *regexp.Regexp
}

var notesFilledIn = sync.OnceValue(func() (out []filledIn) {
	place := regexp.MustCompile(`%(\.\d)?[fs]`)
	for _, form := range scoring.Notes() {
		finds := "^"
		texts, kinds := place.Split(form, -1), place.FindAllString(form, -1)
		for i, text := range texts {
			finds += regexp.QuoteMeta(strings.ReplaceAll(text, "%%", "%"))
			switch {
			case i == len(kinds):
			case strings.HasSuffix(kinds[i], "f"):
				finds += `(-?[\d.]+)`
			default:
				finds += "(.+?)"
			}
		}
		out = append(out, filledIn{place.ReplaceAllString(form, "%s"), regexp.MustCompile(finds + "$")})
	}
	return out
})

// retold says a sentence of the measuring that has numbers in it. Results keep its English.
func (s Speech) retold(words string) (string, bool) {
	for _, f := range notesFilledIn() {
		found := f.finds.FindStringSubmatch(words)
		if found == nil {
			continue
		}
		var args []any
		for _, text := range found[1:] {
			args = append(args, s.number(s.Say(text)))
		}
		said := s.Say(f.message, args...)
		return said, said != words
	}
	return words, false
}

// note is something to note about a clip; it begins with the view, where it is about one.
func (s Speech) note(words string) template.HTML {
	view, rest, _ := strings.Cut(words, ": ")
	if v, err := kinematics.ParseView(view); err == nil {
		return template.HTML(template.HTMLEscapeString(s.Say(viewWords(v)))+": ") + s.tell(rest)
	}
	return s.tell(words)
}

// told is a sentence of the ladder in the language, and those within it.
func (s Speech) told(of scoring.Sentence) string {
	args := make([]any, len(of.Args))
	for i, a := range of.Args {
		switch a := a.(type) {
		case scoring.Sentence:
			args[i] = s.told(a)
		case string:
			args[i] = s.Say(a)
		default:
			args[i] = a
		}
	}
	return s.Say(of.Words, args...)
}

// count is a number of things; what they are is one of the messages with "1 " before it, and
// with "%d " before it and "s" behind.
func (s Speech) count(n int, what string) string {
	if n == 1 {
		return s.Say("1 " + what)
	}
	return s.Say("%d "+what+"s", n)
}

// words are a measure in words, without its unit.
func (s Speech) words(measure string) string {
	about, ok := kinematics.Describe(measure)
	if !ok {
		return measure
	}
	return s.Say(about.Words)
}

// leg is a side as a leg; nothing for both.
func (s Speech) leg(side kinematics.Side) string {
	if side == kinematics.Both {
		return ""
	}
	return s.Say(string(side) + " leg")
}

// viewSeen is where a view is seen from, within a sentence.
func (s Speech) viewSeen(v kinematics.View) string { return s.Say(strings.ToLower(viewWords(v))) }

func (s Speech) plusMinus(v, sd float64) string { return s.number(plusMinus(v, sd)) }

// signed is a change with its sign.
func (s Speech) signed(c *scoring.Change) string {
	words := s.plusMinus(c.Value, c.SD)
	if c.Value > 0 {
		words = "+" + words
	}
	return words
}

// measure is a measure with its standard deviation; nothing for none.
func (s Speech) measure(m *kinematics.Measure) string {
	if m == nil {
		return ""
	}
	words := s.plusMinus(m.Value, m.SD)
	if m.AtLeast {
		words = s.Say("at least %s", words)
	}
	return words
}

// fixed is a number to so many digits behind the point; NaN is a dash.
func (s Speech) fixed(digits int, v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return s.number(strings.Replace(fmt.Sprintf("%.*f", digits, v), "-", "−", 1))
}

// shortDay is a date without its year.
func (s Speech) shortDay(date string) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	if s.german() {
		return t.Format("2.1.")
	}
	return t.Format("2 Jan")
}
