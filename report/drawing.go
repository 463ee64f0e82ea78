package report

import (
	"fmt"
	"html/template"
	"strings"
)

// Colours of what drawings stand on and say, as in assets/style.css.
const (
	Ink   = "#1b1f23"
	Quiet = "#57606a" // words beside a drawing
	Rule  = "#d5dae0" // axes and floors
	Faint = "#8a939c" // how it was, or should not be
	Clear = "#00694d" // how it should be
)

// Drawing is a small picture in lines, drawn by us as SVG. Its words stay words, and what is
// given as a path or a shape is ours.
type Drawing struct{ b strings.Builder }

// NewDrawing begins a drawing of a box, so wide and high from its corner at left and top. The
// label names it to those who hear the page; it is empty where the figure around it does.
func NewDrawing(class string, left, top, wide, high int, label string) *Drawing {
	d := &Drawing{}
	said := `aria-hidden="true"`
	if label != "" {
		said = fmt.Sprintf(`role="img" aria-label="%s"`, template.HTMLEscapeString(label))
	}
	d.Shape(`<svg class="%s" viewBox="%d %d %d %d" %s>`, class, left, top, wide, high, said)
	return d
}

// Shape adds an element of SVG.
func (d *Drawing) Shape(format string, args ...any) { fmt.Fprintf(&d.b, format, args...) }

// Rule adds a thin line of the axes or the floor.
func (d *Drawing) Rule(path string) {
	d.Shape(`<path d="%s" stroke="`+Rule+`" fill="none"/>`, path)
}

// Words adds words; anchor is start, middle or end.
func (d *Drawing) Words(x, y float64, size int, anchor, colour, words string) {
	d.Shape(`<text x="%.1f" y="%.1f" font-size="%d" text-anchor="%s" fill="%s">%s</text>`, x, y, size, anchor, colour, template.HTMLEscapeString(words))
}

// HTML is the finished drawing.
func (d *Drawing) HTML() template.HTML { return template.HTML(d.b.String() + "</svg>") }
