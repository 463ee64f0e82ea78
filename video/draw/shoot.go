//go:build cgo

package draw

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"io"
	"math"
	"slices"

	"gocv.io/x/gocv"

	"steadfall/kinematics"
	"steadfall/video/clip"
	"steadfall/video/mat"
	"steadfall/video/plane"
)

// stillHeight is the height in pixels that stills are scaled to, and mostLarger how much
// larger small ones become, so that the letters on them keep clear of each other.
const (
	stillHeight = 760
	loopHeight  = 560
	stripHeight = 340
	stripGap    = 4 // between its pictures
	mostLarger  = 2.5
)

// Shoot takes the pictures in one pass over the clip.
func Shoot(ctx context.Context, path string, t kinematics.Track, want Shots) (Shown, error) {
	film, err := newSeeker(path, t)
	if err != nil {
		return Shown{}, err
	}
	defer film.close()
	c := camera{t: t, want: want, mask: newHeadMask(t), shown: Shown{Stills: map[int][]byte{}}}
	whole := image.Rect(0, 0, film.film.Width, film.film.Height)
	c.near, c.wide = athleteArea(t, want.large()).Intersect(whole), athleteArea(t, want.frames()).Intersect(whole)
	if c.near.Empty() || c.wide.Empty() {
		return Shown{}, fmt.Errorf("the points of the track lie outside the picture of %q; do the clip and the track belong together?", path)
	}
	defer c.close()
	for _, n := range want.frames() {
		p, err := film.to(ctx, n)
		if err == io.EOF {
			break
		}
		if err != nil {
			return Shown{}, err
		}
		if p.Damaged {
			continue
		}
		if err := c.take(p, n); err != nil {
			return Shown{}, err
		}
	}
	return c.shown, c.paste()
}

// camera takes the pictures of one clip.
type camera struct {
	t     kinematics.Track
	want  Shots
	mask  headMask
	near  image.Rectangle // what large pictures show
	wide  image.Rectangle // what those of the whole movement show
	parts []gocv.Mat      // of the strip
	shown Shown
}

func (c *camera) close() {
	for _, m := range c.parts {
		m.Close()
	}
}

// take takes all pictures of one frame.
func (c *camera) take(p clip.Picture, frame int) (err error) {
	picture := mat.Colours(p, c.near.Union(c.wide), 1)
	defer picture.Close()
	for _, m := range c.want.Stills {
		if m.Frame == frame {
			if c.shown.Stills[frame], err = c.jpeg(picture, m, c.near, stillHeight, nil); err != nil {
				return err
			}
		}
	}
	if m := c.want.Path; m.Frame == frame && c.want.traced() {
		if c.shown.Path, err = c.jpeg(picture, m, c.wide, stillHeight, c.drawPaths); err != nil {
			return err
		}
	}
	if slices.Contains(c.want.Loop, frame) {
		still, err := c.jpeg(picture, Mark{Frame: frame}, c.wide, loopHeight, nil)
		if err != nil {
			return err
		}
		c.shown.Loop = append(c.shown.Loop, still)
	}
	if slices.Contains(c.want.Strip, frame) {
		c.parts = append(c.parts, c.print(picture, Mark{Frame: frame}, c.wide, stripHeight, nil))
	}
	return nil
}

// athleteArea is the room the athlete takes on some frames, with head and
// margin.
func athleteArea(t kinematics.Track, frames []int) image.Rectangle {
	box := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, frame := range frames {
		for _, l := range kinematics.Landmarks() {
			if p, ok := pointOn(t, l, frame); ok {
				box = [4]float64{min(box[0], p.X), min(box[1], p.Y), max(box[2], p.X), max(box[3], p.Y)}
			}
		}
	}
	if math.IsInf(box[0], 1) {
		return image.Rectangle{}
	}
	h := box[3] - box[1]
	mx := math.Max(0.12*h, (0.62*h-(box[2]-box[0]))/2)
	return image.Rect(int(box[0]-mx), int(box[1]-0.32*h), int(box[2]+mx), int(box[3]+0.1*h))
}

// pointOn is the point of a landmark on a frame of the clip.
func pointOn(t kinematics.Track, l kinematics.Landmark, frame int) (kinematics.Point, bool) {
	for i, n := range t.Frame {
		if n == frame {
			p := t.Points[l][i]
			return p, p.Seen()
		}
	}
	return kinematics.Point{}, false
}

// jpeg is a picture of a frame as JPEG.
func (c *camera) jpeg(picture gocv.Mat, m Mark, area image.Rectangle, height int, draw func(on *gocv.Mat, to plane.Cut)) ([]byte, error) {
	p := c.print(picture, m, area, height, draw)
	defer p.Close()
	return encode(p, 82)
}

// print cuts what is seen of a frame to the athlete, hides the head and draws on it what it is told to, the
// body where that is nothing. The caller closes it.
func (c *camera) print(picture gocv.Mat, m Mark, area image.Rectangle, height int, draw func(on *gocv.Mat, to plane.Cut)) gocv.Mat {
	cut := picture.Region(area.Sub(c.near.Union(c.wide).Min))
	defer cut.Close()
	to := plane.Cut{Corner: area.Min, K: math.Min(mostLarger, float64(height)/float64(area.Dy()))}
	out := gocv.NewMat()
	even := func(n int) int { return max(int(float64(n)*to.K)/2*2, 2) }
	gocv.Resize(cut, &out, image.Pt(even(area.Dx()), even(area.Dy())), 0, 0, gocv.InterpolationArea)
	c.mask.hide(&out, m.Frame, to)
	if draw != nil {
		draw(&out, to)
		return out
	}
	at := func(l kinematics.Landmark) (image.Point, bool) {
		p, ok := pointOn(c.t, l, m.Frame)
		return to.Pixel(p), ok
	}
	drawBody(&out, c.t.View, at)
	for _, l := range kinematics.Landmarks() {
		if text := m.Text[l]; text != "" {
			if p, ok := at(l); ok {
				drawText(&out, text, p, l.Side(), c.t.View)
			}
		}
	}
	return out
}

// drawPaths draws the ways of hips and knees, each in the colour of its leg. Where a point
// was not seen, the way breaks.
func (c *camera) drawPaths(on *gocv.Mat, to plane.Cut) {
	for _, pen := range []struct {
		colour func(s kinematics.Side) color.RGBA
		width  int
	}{{func(kinematics.Side) color.RGBA { return paper }, 5}, {legColour, 3}} {
		for _, s := range shownSides(c.t.View) {
			for _, part := range []kinematics.Part{kinematics.Hip, kinematics.Knee} {
				points := c.t.Points[kinematics.On(s, part)]
				for i := 1; i < len(points); i++ {
					if n := c.t.Frame[i]; n <= c.want.Along[0] || n > c.want.Along[1] || !points[i-1].Seen() || !points[i].Seen() {
						continue
					}
					gocv.Line(on, to.Pixel(points[i-1]), to.Pixel(points[i]), pen.colour(s), pen.width)
				}
			}
		}
	}
}

// paste puts the frames of the strip side by side.
func (c *camera) paste() (err error) {
	if len(c.parts) == 0 {
		return nil
	}
	strip := c.parts[0].Clone()
	defer strip.Close()
	for _, m := range c.parts[1:] {
		gocv.CopyMakeBorder(m, &m, 0, 0, stripGap, 0, gocv.BorderConstant, paper)
		gocv.Hconcat(strip, m, &strip)
	}
	c.shown.Strip, err = encode(strip, 80)
	return err
}
