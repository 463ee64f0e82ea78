package locale

import (
	"html/template"
	"regexp"
	"strings"
	"sync"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Tell is a sentence that the measuring or a person wrote. Where the language has no words
// for it, it stands in English and says so to those who hear the page.
func (l Locale) Tell(words string) template.HTML {
	said := l.Say(words)
	if said == words && words != "" && l.foreign() {
		var ok bool
		if said, ok = l.retold(words); !ok {
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
func (l Locale) retold(words string) (string, bool) {
	for _, f := range notesFilledIn() {
		found := f.finds.FindStringSubmatch(words)
		if found == nil {
			continue
		}
		var args []any
		for _, text := range found[1:] {
			args = append(args, l.Number(l.Say(text)))
		}
		said := l.Say(f.message, args...)
		return said, said != words
	}
	return words, false
}

// Note is something to note about a clip; it begins with the view, where it is about one.
func (l Locale) Note(words string) template.HTML {
	view, rest, _ := strings.Cut(words, ": ")
	if v, err := kinematics.ParseView(view); err == nil {
		return template.HTML(template.HTMLEscapeString(l.Say(viewWords(v)))+": ") + l.Tell(rest)
	}
	return l.Tell(words)
}

// Told is a sentence of the ladder in the language, and those within it.
func (l Locale) Told(of scoring.Sentence) string {
	args := make([]any, len(of.Args))
	for i, a := range of.Args {
		switch a := a.(type) {
		case scoring.Sentence:
			args[i] = l.Told(a)
		case string:
			args[i] = l.Say(a)
		default:
			args[i] = a
		}
	}
	return l.Say(of.Words, args...)
}

// MeasureWords are a measure in words, without its unit.
func (l Locale) MeasureWords(measure string) string {
	about, ok := kinematics.Describe(measure)
	if !ok {
		return measure
	}
	return l.Say(about.Words)
}

// Leg is a side as a leg; nothing for both.
func (l Locale) Leg(side kinematics.Side) string {
	if side == kinematics.Both {
		return ""
	}
	return l.Say(string(side) + " leg")
}

// ViewSeen is where a view is seen from, within a sentence.
func (l Locale) ViewSeen(v kinematics.View) string { return l.Say(strings.ToLower(viewWords(v))) }
