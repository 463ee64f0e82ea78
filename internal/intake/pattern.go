// Package intake turns a folder of clips or tracks, named by a pattern, into a session of
// an archive: which files belong to one trial, what is there already, and each trial
// scored and kept in turn.
package intake

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"steadfall/kinematics"
)

// Patterns are the names that files have unless another pattern is given.
var Patterns = []string{"{athlete}_{task}_{limb}_{trial}_{view}", "{athlete}_{task}_{trial}_{view}"}

// Pattern is the form of a file's name, without its ending.
type Pattern struct {
	text string
	form *regexp.Regexp
}

// fields are what may stand in braces, and the text each stands for.
var fields = map[string]string{
	"athlete": `(?P<athlete>[\p{L}\p{N}-]+)`,
	"task":    `(?P<task>` + tasks() + `)`,
	"limb":    `(?P<limb>left|right|both)`,
	"trial":   `(?P<trial>\d+)`,
	"view":    `(?P<view>front|side)`,
	"any":     `.*`,
}

func tasks() string {
	var out []string
	for _, t := range kinematics.Tasks {
		out = append(out, string(t))
	}
	return strings.Join(out, "|")
}

var braces = regexp.MustCompile(`\{([^{}]*)\}`)

// ParsePattern reads a pattern such as {athlete}_{task}_{limb}_{trial}_{view}. Other fields
// than athlete and view may be left out; {any} stands for any text.
func ParsePattern(text string) (Pattern, error) {
	seen := map[string]bool{}
	form := "(?i)^"
	at := 0
	for _, m := range braces.FindAllStringSubmatchIndex(text, -1) {
		name := text[m[2]:m[3]]
		part, ok := fields[name]
		if !ok {
			return Pattern{}, fmt.Errorf("the pattern %q has {%s}; the fields are {athlete}, {task}, {limb}, {trial}, {view} and {any}", text, name)
		}
		if seen[name] && name != "any" {
			return Pattern{}, fmt.Errorf("the pattern %q has {%s} twice", text, name)
		}
		seen[name] = true
		form += regexp.QuoteMeta(text[at:m[0]]) + part
		at = m[1]
	}
	if !seen["athlete"] || !seen["view"] {
		return Pattern{}, fmt.Errorf("the pattern %q needs {athlete} and {view}", text)
	}
	re, err := regexp.Compile(form + regexp.QuoteMeta(text[at:]) + "$")
	if err != nil {
		return Pattern{}, fmt.Errorf("the pattern %q cannot be read; see the example", text)
	}
	return Pattern{text, re}, nil
}

// Usual are Patterns, read.
func Usual() []Pattern {
	var out []Pattern
	for _, text := range Patterns {
		p, err := ParsePattern(text)
		if err != nil {
			panic("intake: " + err.Error()) // they are written above
		}
		out = append(out, p)
	}
	return out
}

// key names a trial within a session.
type key struct {
	athlete string
	task    kinematics.Task
	limb    kinematics.Side
	number  int
}

// match reads a file's name without its ending; what it does not say is taken from usual.
func (p Pattern) match(name string, usual key) (k key, front, ok bool) {
	m := p.form.FindStringSubmatch(name)
	if m == nil {
		return k, false, false
	}
	get := func(field string) string {
		if i := p.form.SubexpIndex(field); i >= 0 {
			return m[i]
		}
		return ""
	}
	k = usual
	k.athlete = get("athlete")
	if v := strings.ToLower(get("task")); v != "" {
		k.task = kinematics.Task(v)
	}
	if v := strings.ToLower(get("limb")); v != "" {
		k.limb = kinematics.Side(v)
	}
	if v := get("trial"); v != "" {
		n, err := strconv.Atoi(v)
		if err != nil || n < 1 {
			return k, false, false
		}
		k.number = n
	}
	return k, strings.EqualFold(get("view"), "front"), true
}

// firstMatch tries the patterns in turn.
func firstMatch(all []Pattern, name string, usual key) (k key, front, ok bool) {
	i := slices.IndexFunc(all, func(p Pattern) bool { _, _, ok := p.match(name, usual); return ok })
	if i < 0 {
		return k, false, false
	}
	return all[i].match(name, usual)
}
