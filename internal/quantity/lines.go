package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"steadfall/kinematics"
)

var lengthForm = regexp.MustCompile(`^([^:]+):([^,:]+),([^,:]+):([^,:]+),([^,:]+)$`)

// Length reads a known length, CM:X1,Y1:X2,Y2: cm, and its ends in px. Nothing gives nil.
func Length(s string) (*kinematics.KnownLength, error) {
	if s == "" {
		return nil, nil
	}
	v, err := numbers(lengthForm, s, "CM:X1,Y1:X2,Y2")
	if err != nil {
		return nil, err
	}
	k := kinematics.KnownLength{CM: v[0], X1: v[1], Y1: v[2], X2: v[3], Y2: v[4]}
	if !(k.CM >= 1 && k.CM <= 1000) || math.Hypot(k.X2-k.X1, k.Y2-k.Y1) < 10 {
		return nil, fmt.Errorf("the length must be between 1 and 1000 cm and its ends at least 10 pixels apart")
	}
	return &k, nil
}

var plumbForm = regexp.MustCompile(`^([^,:]+),([^,:]+):([^,:]+),([^,:]+)$`)

// leastPlumbPx is the shortest upright line that tells the roll well enough.
const leastPlumbPx = 100

// Plumb reads an upright line, X1,Y1:X2,Y2 in px. Nothing gives nil.
func Plumb(s string) (*kinematics.Plumb, error) {
	if s == "" {
		return nil, nil
	}
	v, err := numbers(plumbForm, s, "X1,Y1:X2,Y2")
	if err != nil {
		return nil, err
	}
	p := kinematics.Plumb{X1: v[0], Y1: v[1], X2: v[2], Y2: v[3]}
	if math.Hypot(p.X2-p.X1, p.Y2-p.Y1) < leastPlumbPx || math.Abs(p.RollDeg()) > 45 {
		return nil, fmt.Errorf("the line must be at least %d pixels long and nearer to upright than to level", leastPlumbPx)
	}
	return &p, nil
}

// numbers reads the numbers, none below 0, of a text of that form; shape is the form in words.
func numbers(form *regexp.Regexp, s, shape string) ([]float64, error) {
	m := form.FindStringSubmatch(s)
	if m == nil {
		return nil, fmt.Errorf("write it as %s", shape)
	}
	var out []float64
	for _, w := range m[1:] {
		v, err := Number(w)
		if err == nil && v < 0 {
			err = fmt.Errorf("%s is below 0", w)
		}
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

// mostPicture is more than any phone's picture is wide or high, px.
const mostPicture = 20000

// Picture reads the size of a picture, WxH in px. Nothing gives 0.
func Picture(s string) (size [2]int, err error) {
	if s == "" {
		return size, nil
	}
	w, h, ok := strings.Cut(s, "x")
	if size[0], err = strconv.Atoi(w); err == nil {
		size[1], err = strconv.Atoi(h)
	}
	if !ok || err != nil || min(size[0], size[1]) < 1 || max(size[0], size[1]) > mostPicture {
		return size, fmt.Errorf("--picture is written as WxH, such as 1080x1920, not %q", s)
	}
	return size, nil
}
