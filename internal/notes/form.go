package notes

import (
	"fmt"
	"strconv"
	"strings"

	"steadfall/kinematics"
)

// form is a sentence with places for arguments: the text around them, and how each is written.
type form struct {
	texts []string // one more than verbs
	verbs []string // as fmt has them
}

// parse takes a sentence of fmt's apart.
func parse(text string) form {
	f := form{texts: []string{""}}
	add := func(s string) { f.texts[len(f.texts)-1] += s }
	for {
		before, rest, found := strings.Cut(text, "%")
		add(before)
		if !found {
			return f
		}
		if text, found = strings.CutPrefix(rest, "%"); found {
			add("%")
			continue
		}
		n := strings.IndexAny(rest, "fgqs") + 1
		f.verbs, f.texts = append(f.verbs, "%"+rest[:n]), append(f.texts, "")
		text = rest[n:]
	}
}

// message is the English by which other languages know the sentence: %s for each argument.
func (f form) message() string {
	if len(f.verbs) == 0 {
		return f.texts[0]
	}
	var escaped []string
	for _, t := range f.texts {
		escaped = append(escaped, strings.ReplaceAll(t, "%", "%%"))
	}
	return strings.Join(escaped, "%s")
}

// fill writes the arguments of the form and gives those that are left. A missing one is a dash.
func (f form) fill(args []any) (told []string, left []any) {
	for _, verb := range f.verbs {
		if len(args) == 0 {
			told = append(told, "–")
			continue
		}
		told, args = append(told, fmt.Sprintf(verb, args[0])), args[1:]
	}
	return told, args
}

// read finds the arguments in a sentence of this form.
func (f form) read(said string) (args []any, ok bool) {
	rest, ok := strings.CutPrefix(said, f.texts[0])
	for i, verb := range f.verbs {
		text := rest
		if next := f.texts[i+1]; ok && next != "" {
			text, rest, ok = strings.Cut(rest, next)
		} else {
			rest = ""
		}
		if !ok {
			return nil, false
		}
		if strings.HasSuffix(verb, "s") {
			args = append(args, text)
			continue
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return nil, false
		}
		args = append(args, v)
	}
	return args, ok && rest == ""
}

// wordsOf is the form of a note. One of before notes were kept as data is its own words.
func wordsOf(n kinematics.Note) form {
	if n.Code == Verbatim && len(n.Args) == 1 {
		return form{texts: []string{fmt.Sprint(n.Args[0])}}
	}
	if text, ok := remarks[n.Code]; ok {
		return parse(text)
	}
	return parse(refusals[n.Code])
}

// hintAt is the form of a hint at a place; empty where there is nothing to do.
func hintAt(h kinematics.Hint, at Place) form {
	of, ok := hints[h]
	if !ok {
		of = refusalHints[h]
	}
	if at == Desk {
		return parse(of.desk)
	}
	return parse(of.commandLine)
}
