package locale

import (
	"html/template"
	"strings"

	"steadfall/internal/notes"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// Tell is a sentence that the measuring or a person wrote. Where the language has no words
// for it, it stands in English and says so to those who hear the page.
func (l Locale) Tell(words string) template.HTML { return l.marked(l.Say(words), words) }

// marked is what is said for English words, marked as English where it is just those.
func (l Locale) marked(said, english string) template.HTML {
	if said == english && english != "" && l.foreign() {
		return template.HTML(`<span lang="en">` + template.HTMLEscapeString(english) + "</span>")
	}
	return template.HTML(template.HTMLEscapeString(said))
}

// Note is something to note about a trial; it begins with the view, where it is about one.
func (l Locale) Note(n kinematics.Note) template.HTML {
	view := n.View
	n.View = ""
	said, english := l.noted(n), notes.English(n, l.At)
	if view == "" {
		return l.marked(said, english)
	}
	return template.HTML(template.HTMLEscapeString(l.Say(viewWords(view)))+": ") + l.marked(said, english)
}

// noted is a note in the language.
func (l Locale) noted(n kinematics.Note) string {
	return notes.Tell(n, l.At, func(message string, args []string) string {
		put := make([]any, len(args))
		for i, a := range args {
			put[i] = l.Number(l.Say(a))
		}
		return l.Say(message, put...)
	})
}

// Gravity is why a gravity check says what it does; nothing where it says nothing.
func (l Locale) Gravity(g scoring.GravityResult) template.HTML {
	n, ok := g.Note()
	if !ok {
		return ""
	}
	return l.Note(n)
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
