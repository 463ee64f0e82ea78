package locale

import (
	"fmt"
	"math"
	"strings"
	"time"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Number writes a number as the language does.
func (l Locale) Number(text string) string {
	if l.german() {
		return strings.ReplaceAll(text, ".", ",")
	}
	return text
}

// Rounded is a value to as many digits as its standard deviation leaves, and at least two
// significant ones.
func (l Locale) Rounded(v, sd float64) string {
	digits := 0
	if sd > 0 {
		digits = min(max(1-int(math.Floor(math.Log10(sd))), 0), 3)
	}
	s := fmt.Sprintf("%.*f", digits, v)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return l.Number(strings.Replace(s, "-", "−", 1))
}

// PlusMinus is a value with its standard deviation.
func (l Locale) PlusMinus(v, sd float64) string { return l.Rounded(v, sd) + " ± " + l.Rounded(sd, sd) }

// Signed is a change with its sign.
func (l Locale) Signed(c *scoring.Change) string {
	words := l.PlusMinus(c.Value, c.SD)
	if c.Value > 0 {
		words = "+" + words
	}
	return words
}

// Measure is a measure with its standard deviation; nothing for none.
func (l Locale) Measure(m *kinematics.Measure) string {
	if m == nil {
		return ""
	}
	words := l.PlusMinus(m.Value, m.SD)
	if m.AtLeast {
		words = l.Say("at least %s", words)
	}
	return words
}

// Finding is what a finding was measured to be, with ± and unit; empty where it was not
// measured.
func (l Locale) Finding(f scoring.Finding) string {
	if f.Value == nil || f.SD == nil {
		return ""
	}
	return l.PlusMinus(*f.Value, *f.SD) + Unit(f.Unit)
}

// Fixed is a number to so many digits behind the point; NaN is a dash.
func (l Locale) Fixed(digits int, v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return l.Number(strings.Replace(fmt.Sprintf("%.*f", digits, v), "-", "−", 1))
}

// Roughly is a value and its standard deviation to one digit of that: athletes need no more.
func (l Locale) Roughly(v, sd float64) (value, deviation string) {
	digits := 0
	if sd > 0 {
		digits = min(max(-int(math.Floor(math.Log10(sd))), 0), 2)
	}
	write := func(v float64) string {
		return l.Number(strings.ReplaceAll(fmt.Sprintf("%.*f", digits, v), "-", "−"))
	}
	return write(v), write(sd)
}

// Amount is a value with its standard deviation and unit, roughly.
func (l Locale) Amount(v, sd float64, of string) string {
	value, deviation := l.Roughly(v, sd)
	return value + " ± " + deviation + Unit(of)
}

// Day is a date in words.
func (l Locale) Day(t time.Time) string {
	if l.german() {
		return t.Format("2.1.2006")
	}
	return t.Format("2 January 2006")
}

// ShortDay is a date without its year.
func (l Locale) ShortDay(date string) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	if l.german() {
		return t.Format("2.1.")
	}
	return t.Format("2 Jan")
}
