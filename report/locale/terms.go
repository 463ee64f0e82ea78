package locale

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Verdicts are in the order of what needs the reader's eye first.
var Verdicts = []scoring.Verdict{scoring.Error, scoring.TooClose, scoring.Clear, scoring.NotSeen, scoring.ForRater}

var verdictWords = map[scoring.Verdict]string{
	scoring.Error: "Error", scoring.TooClose: "Too close to call", scoring.Clear: "Clear",
	scoring.NotSeen: "Not seen", scoring.ForRater: "For a person to judge",
}

// VerdictWords is a verdict in lower-case English words.
func VerdictWords(v scoring.Verdict) string { return strings.ToLower(verdictWords[v]) }

// Verdict is a verdict as a heading.
func (l Locale) Verdict(v scoring.Verdict) string { return l.Say(verdictWords[v]) }

var progressionWords = map[scoring.Progression]string{
	scoring.Ready: "Ready for the next step", scoring.NotYet: "Not yet", scoring.CannotSay: "Cannot say yet",
}

// Progression is whether somebody may go on to the next step.
func (l Locale) Progression(p scoring.Progression) string { return l.Say(progressionWords[p]) }

// TaskWords is a task, and the leg it is done on, in English words.
func TaskWords(task kinematics.Task, limb kinematics.Side) string {
	words := strings.ReplaceAll(string(task), "-", " ")
	if limb != kinematics.Both {
		words += " on the " + string(limb) + " leg"
	}
	return words
}

// Task is a task, and the leg it is done on.
func (l Locale) Task(task kinematics.Task, limb kinematics.Side) string {
	words := l.Say(TaskWords(task, kinematics.Both))
	switch limb {
	case kinematics.Left:
		return l.Say("%s on the left leg", words)
	case kinematics.Right:
		return l.Say("%s on the right leg", words)
	}
	return words
}

func viewWords(v kinematics.View) string {
	switch v {
	case kinematics.SideLeft:
		return "From the athlete's left"
	case kinematics.SideRight:
		return "From the athlete's right"
	}
	return "From the front"
}

// View is where a view is seen from, as a heading.
func (l Locale) View(v kinematics.View) string { return l.Say(viewWords(v)) }

// scaleFrom says in words where a scale came from.
func scaleFrom(f kinematics.ScaleFrom) string {
	switch f {
	case kinematics.FromLength:
		return "a known length"
	case kinematics.FromHeight:
		return "the athlete's height"
	}
	return "the fall, since bodies fall at 9.81 m/s²"
}

// ScaleFrom is where a scale came from.
func (l Locale) ScaleFrom(f kinematics.ScaleFrom) string { return l.Say(scaleFrom(f)) }

// eventWords is an event in English words.
func eventWords(e kinematics.EventName) string { return strings.ReplaceAll(string(e), "_", " ") }

// Event is an event in words.
func (l Locale) Event(e kinematics.EventName) string { return l.Say(eventWords(e)) }

// captureWords are what is looked at in how a clip was filmed.
var captureWords = map[string]string{
	"frame_rate": "frame rate", "athlete_height_px": "height of the athlete in the picture", "feet_to_edge_px": "feet from the edge of the picture",
}

// Capture is what was looked at in how a clip was filmed.
func (l Locale) Capture(check string) string {
	if words, ok := captureWords[check]; ok {
		return l.Say(words)
	}
	return check
}

// Capital makes the first letter of words a capital.
func Capital(words string) string {
	first, size := utf8.DecodeRuneInString(words)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(first)) + words[size:]
}
