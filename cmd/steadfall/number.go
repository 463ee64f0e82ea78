package main

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/spf13/pflag"
)

// number is a flag for a number between two. What is none, is not finite or lies outside is
// refused.
type number struct {
	of          *float64
	least, most float64
	hint        func(text string) string // for a text that is no number; may be nil
}

// numberFlag adds a flag for a number that is at least and at most so much; not given it is 0.
func numberFlag(f *pflag.FlagSet, of *float64, name string, least, most float64, usage string) {
	f.Var(&number{of, least, most, nil}, name, usage)
}

// statureFlag adds the flag for how tall an athlete is.
func statureFlag(f *pflag.FlagSet, of *float64, name, usage string) {
	f.Var(&number{of, 80, 250, fromFeet}, name, usage)
}

func (n *number) Set(text string) error {
	v, err := finite(text)
	switch {
	case err != nil && n.hint != nil && n.hint(text) != "":
		return errors.New(n.hint(text))
	case err != nil:
		return fmt.Errorf("must be a number between %g and %g: %w", n.least, n.most, err)
	case v < n.least || v > n.most:
		return fmt.Errorf("must be between %g and %g, not %g", n.least, n.most, v)
	}
	*n.of = v
	return nil
}

func (n *number) String() string { return "" }
func (n *number) Type() string   { return "number" }

// mostFinite is more than anything that is asked for, whatever its unit.
const mostFinite = 1e9

var decimal = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$`)

// finite reads a decimal number.
func finite(word string) (float64, error) {
	if w := strings.Replace(word, ",", ".", 1); w != word && decimal.MatchString(w) {
		return 0, fmt.Errorf("%q is not a number here; write it with a point, %s", word, w)
	}
	v, err := strconv.ParseFloat(word, 64)
	if !decimal.MatchString(word) {
		return 0, fmt.Errorf("%q is not a number", word)
	}
	if err != nil || math.Abs(v) > mostFinite {
		return 0, fmt.Errorf("%q is larger than any number that is used here", word)
	}
	return v, nil
}

var feetForm = regexp.MustCompile(`(?i)^([0-9]+) *(?:ft|feet|foot|'|′)\.? *([0-9.]*) *(?:in|inches|''|"|″)?\.?$`)

// fromFeet is what to write for a height in feet and inches, or empty.
func fromFeet(text string) string {
	m := feetForm.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return ""
	}
	feet, _ := strconv.ParseFloat(m[1], 64)
	inches, _ := strconv.ParseFloat("0"+m[2], 64)
	cm := 2.54 * (12*feet + inches) // the international inch
	return fmt.Sprintf("is in centimetres: for %s write %.0f", text, cm)
}

// flagWords say in a plain sentence what is wrong with a flag's value.
func flagWords(err error) error {
	var bad *pflag.InvalidValueError
	if !errors.As(err, &bad) {
		return err
	}
	name, cause := bad.GetFlag().Name, errors.Unwrap(bad)
	switch bad.GetFlag().Value.Type() {
	case "int":
		return fmt.Errorf("--%s must be a whole number, not %q", name, bad.GetValue())
	case "bool":
		return fmt.Errorf("--%s is either said or not, without a value such as %q", name, bad.GetValue())
	case "number":
		return fmt.Errorf("--%s %w", name, cause)
	}
	return fmt.Errorf("--%s: %w", name, cause)
}
