// Package notes says in words what the other packages report as data: the kinematics.Note of a
// result or of an error. It holds the English of every code; another language has its words by
// the English message. What to do about a note differs with where it is said: only a command line
// has flags.
package notes

import (
	"fmt"
	"strings"

	"steadfall/kinematics"
)

// Place is where a note is said.
type Place int

// The places.
const (
	CommandLine Place = iota // and what it writes
	Desk                     // the local web app
)

// Verbatim is the code of a note that is known by its English sentence alone, its only argument.
const Verbatim kinematics.Code = ""

// New is a note with a caveat.
func New(code kinematics.Code, hint kinematics.Hint, args ...any) kinematics.Note {
	return kinematics.Note{Code: code, Severity: kinematics.Warning, Hint: hint, Args: args}
}

// English is the note as a sentence without its full stop; it begins with the view where it is
// about one.
func English(n kinematics.Note, at Place) string {
	said := Tell(n, at, func(message string, args []string) string {
		if len(args) == 0 {
			return message
		}
		put := make([]any, len(args))
		for i, a := range args {
			put[i] = a
		}
		return fmt.Sprintf(message, put...)
	})
	if n.View != "" {
		return string(n.View) + ": " + said
	}
	return said
}

// Tell puts a note together from its parts, each of which say has in its language: message is the
// English, with %s where one of the args is put in. The view is the caller's to say.
func Tell(n kinematics.Note, at Place, say func(message string, args []string) string) string {
	var out string
	add := func(f form, args []any) (left []any) {
		told, left := f.fill(args)
		switch {
		case strings.HasSuffix(out, ":"):
			out += " "
		case out != "":
			out += "; "
		}
		out += say(f.message(), told)
		return left
	}
	if n.Severity == kinematics.Doubt {
		add(parse(preface), nil)
	}
	left := add(wordsOf(n), n.Args)
	if h := hintAt(n.Hint, at); h.message() != "" {
		add(h, left)
	}
	return out
}

// Told is a note of an English sentence, which explains something.
func Told(sentence string) kinematics.Note {
	return kinematics.Note{Code: Verbatim, Severity: kinematics.Info, Args: []any{sentence}}
}

// Messages are all that Tell asks to be said of results, in English, in no order.
func Messages() []string {
	out := []string{preface}
	for _, text := range remarks {
		out = append(out, parse(text).message())
	}
	for h := range hints {
		out = append(out, hintAt(h, CommandLine).message(), hintAt(h, Desk).message())
	}
	return out
}
