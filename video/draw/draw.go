//go:build cgo

package draw

import (
	"fmt"
	"image"
	"image/color"

	"gocv.io/x/gocv"

	"steadfall/kinematics"
)

// The colours of the two legs, from the colour-blind-safe palette of Okabe and
// Ito 2008: blue for the left, orange for the right. The letters L and R say the
// same without colour.
var (
	leftColour  = color.RGBA{R: 0x00, G: 0x72, B: 0xb2, A: 255}
	rightColour = color.RGBA{R: 0xe6, G: 0x9f, B: 0x00, A: 255}
	paper       = color.RGBA{R: 255, G: 255, B: 255, A: 255}
	ink         = color.RGBA{R: 20, G: 20, B: 20, A: 255}
)

// encode is a picture as JPEG of a quality up to 100.
func encode(m gocv.Mat, quality int) ([]byte, error) {
	buf, err := gocv.IMEncodeWithParams(gocv.JPEGFileExt, m, []int{gocv.IMWriteJpegQuality, quality})
	if err != nil {
		return nil, fmt.Errorf("a picture could not be written: %w", err)
	}
	defer buf.Close()
	return append([]byte(nil), buf.GetBytes()...), nil
}

// bones are the lines that are drawn.
var bones = [][2]kinematics.Part{
	{kinematics.Shoulder, kinematics.Hip},
	{kinematics.Hip, kinematics.Knee},
	{kinematics.Knee, kinematics.Ankle},
	{kinematics.Ankle, kinematics.Heel},
	{kinematics.Heel, kinematics.Toe},
}

// shownSides are the legs that are drawn: from the side, the far one is hidden.
func shownSides(view kinematics.View) []kinematics.Side {
	if near := view.Near(); near != kinematics.Both {
		return []kinematics.Side{near}
	}
	return []kinematics.Side{kinematics.Left, kinematics.Right}
}

func legColour(s kinematics.Side) color.RGBA {
	if s == kinematics.Right {
		return rightColour
	}
	return leftColour
}

func drawBody(m *gocv.Mat, view kinematics.View, at func(kinematics.Landmark) (image.Point, bool)) {
	for _, s := range shownSides(view) {
		c := legColour(s)
		for _, b := range bones {
			if view == kinematics.Front && b[0] == kinematics.Ankle || view == kinematics.Front && b[0] == kinematics.Heel {
				continue
			}
			p, ok1 := at(kinematics.On(s, b[0]))
			q, ok2 := at(kinematics.On(s, b[1]))
			if ok1 && ok2 {
				gocv.Line(m, p, q, paper, 5)
				gocv.Line(m, p, q, c, 3)
			}
		}
		for _, part := range kinematics.Parts {
			if p, ok := at(kinematics.On(s, part)); ok {
				gocv.Circle(m, p, 6, paper, -1)
				gocv.Circle(m, p, 4, c, -1)
			}
		}
	}
}

// drawText puts a text beside a point, on the outer side of the body.
func drawText(m *gocv.Mat, text string, p image.Point, s kinematics.Side, view kinematics.View) {
	const size, bold = 0.62, 1
	ext := gocv.GetTextSize(text, gocv.FontHersheySimplex, size, bold)
	x := p.X + 16
	if s == kinematics.Right && view == kinematics.Front {
		x = p.X - 16 - ext.X
	}
	x = min(max(x, 4), m.Cols()-ext.X-4)
	y := p.Y + ext.Y/2
	gocv.Rectangle(m, image.Rect(x-4, y-ext.Y-5, x+ext.X+4, y+6), paper, -1)
	gocv.PutText(m, text, image.Pt(x, y), gocv.FontHersheySimplex, size, ink, bold)
}
