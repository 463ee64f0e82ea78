// Package quantity reads what is written in flags and tables: numbers, lengths, lines, sizes.
package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// mostFinite is more than anything that is asked for, whatever its unit.
const mostFinite = 1e9

var decimal = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$`)

// Number reads a decimal number.
func Number(word string) (float64, error) {
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

// FromFeet is what to write for a height in feet and inches, or empty.
func FromFeet(text string) string {
	m := feetForm.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return ""
	}
	feet, _ := strconv.ParseFloat(m[1], 64)
	inches, _ := strconv.ParseFloat("0"+m[2], 64)
	cm := 2.54 * (12*feet + inches) // the international inch
	return fmt.Sprintf("is in centimetres: for %s write %.0f", text, cm)
}
