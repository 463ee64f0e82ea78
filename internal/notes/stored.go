package notes

import (
	"maps"
	"slices"
	"strings"

	"steadfall/kinematics"
)

// Read is the note that an English sentence of the command line was made of. Results of before
// notes were kept as data hold only the sentence; one that is not known stays as it is.
func Read(sentence string, severity kinematics.Severity) kinematics.Note {
	n := kinematics.Note{Severity: severity}
	said := sentence
	if view, rest, found := strings.Cut(said, ": "); found {
		if v, err := kinematics.ParseView(view); err == nil {
			n.View, said = v, rest
		}
	}
	rest, found := strings.CutPrefix(said, preface+" ")
	if found {
		n.Severity, said = kinematics.Doubt, rest
	} else if severity == kinematics.Doubt {
		n.Severity = kinematics.Refusal // only that begins otherwise
	}
	for _, at := range splits(said) {
		hint, more, ok := readHint(at.hint)
		if !ok {
			continue
		}
		for _, code := range slices.Sorted(maps.Keys(remarks)) {
			if args, ok := parse(remarks[code]).read(at.words); ok {
				n.Code, n.Args, n.Hint = code, append(args, more...), hint
				return n
			}
		}
	}
	n.Code, n.Args = Verbatim, []any{said}
	return n
}

// split is a sentence as what it says and what to do.
type split struct{ words, hint string }

// splits are the ways in which a sentence may have been joined, that without a hint the last.
func splits(said string) []split {
	var out []split
	for i := len(said) - 1; i > 0; i-- {
		if words, hint := said[:i], said[i:]; strings.HasPrefix(hint, "; ") {
			out = append(out, split{words, hint[2:]})
		} else if strings.HasPrefix(hint, " ") && strings.HasSuffix(words, ":") {
			out = append(out, split{words, hint[1:]})
		}
	}
	return append(out, split{said, ""})
}

// readHint is the hint that is said so.
func readHint(said string) (hint kinematics.Hint, args []any, ok bool) {
	if said == "" {
		return "", nil, true
	}
	for _, h := range slices.Sorted(maps.Keys(hints)) {
		if args, ok := parse(hints[h].commandLine).read(said); ok {
			return h, args, true
		}
	}
	return "", nil, false
}
