package video

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"math"

	"gocv.io/x/gocv"

	"steadfall/kinematics"
)

// Mark is a frame to be shown, with short texts beside some landmarks. Texts are
// ASCII: OpenCV's letters know no others.
type Mark struct {
	Frame int
	Text  map[kinematics.Landmark]string
}

// The colours of the two legs, from the colour-blind-safe palette of Okabe and
// Ito 2008: blue for the left, orange for the right. The letters L and R say the
// same without colour.
var (
	leftColour  = color.RGBA{R: 0x00, G: 0x72, B: 0xb2, A: 255}
	rightColour = color.RGBA{R: 0xe6, G: 0x9f, B: 0x00, A: 255}
	paper       = color.RGBA{R: 255, G: 255, B: 255, A: 255}
	ink         = color.RGBA{R: 20, G: 20, B: 20, A: 255}
)

// stillHeight is the height in pixels that stills are scaled to, and mostLarger how much
// larger small ones become, so that the letters on them keep clear of each other.
const (
	stillHeight = 760
	mostLarger  = 2.5
)

// Stills returns JPEG pictures of the marked frames, cut to the athlete, with the
// points and lines of the track drawn on and the head blurred. Frames of the
// track that the clip does not have are left out.
func Stills(ctx context.Context, path string, t kinematics.Track, marks []Mark) (map[int][]byte, error) {
	clip, err := Open(path)
	if err != nil {
		return nil, err
	}
	defer clip.Close()
	want := map[int]Mark{}
	last := -1
	for _, m := range marks {
		want[m.Frame] = m
		last = max(last, m.Frame)
	}
	area := athleteArea(t, marks).Intersect(image.Rect(0, 0, clip.Width, clip.Height))
	if area.Empty() {
		return nil, fmt.Errorf("the points of the track lie outside the picture of %q; do the clip and the track belong together?", path)
	}
	out := map[int][]byte{}
	picture := gocv.NewMat()
	defer picture.Close()
	for n := 0; n <= last; n++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		m, wanted := want[n]
		if !wanted {
			_, err = clip.skip()
		} else {
			_, err = clip.next(&picture)
		}
		if errors.Is(err, errEnd) {
			break
		}
		if err != nil {
			return nil, err
		}
		if wanted {
			if out[n], err = still(picture, area, t, m); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// athleteArea is the room the athlete takes on the marked frames, with head and
// margin.
func athleteArea(t kinematics.Track, marks []Mark) image.Rectangle {
	box := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, m := range marks {
		for _, l := range kinematics.Landmarks() {
			if p, ok := pointOn(t, l, m.Frame); ok {
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

func still(picture gocv.Mat, area image.Rectangle, t kinematics.Track, m Mark) ([]byte, error) {
	blurHead(picture, t, m.Frame)
	cut := picture.Region(area)
	defer cut.Close()
	k := math.Min(mostLarger, float64(stillHeight)/float64(area.Dy()))
	small := gocv.NewMat()
	defer small.Close()
	gocv.Resize(cut, &small, image.Point{}, k, k, gocv.InterpolationArea)
	at := func(l kinematics.Landmark) (image.Point, bool) {
		p, ok := pointOn(t, l, m.Frame)
		return image.Pt(int(math.Round((p.X-float64(area.Min.X))*k)), int(math.Round((p.Y-float64(area.Min.Y))*k))), ok
	}
	drawBody(&small, t.View, at)
	for _, l := range kinematics.Landmarks() {
		if text := m.Text[l]; text != "" {
			if p, ok := at(l); ok {
				drawText(&small, text, p, l.Side(), t.View)
			}
		}
	}
	return encode(small, 82)
}

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

func drawBody(m *gocv.Mat, view kinematics.View, at func(kinematics.Landmark) (image.Point, bool)) {
	sides := []kinematics.Side{kinematics.Left, kinematics.Right}
	if near := view.Near(); near != kinematics.Both {
		sides = []kinematics.Side{near} // the far leg is hidden
	}
	for _, s := range sides {
		c := leftColour
		if s == kinematics.Right {
			c = rightColour
		}
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

// blurHead makes the face unrecognisable: the head lies above the shoulders, .182
// of stature high (Drillis and Contini 1966), and shoulder to ankle is .779.
func blurHead(m gocv.Mat, t kinematics.Track, frame int) {
	var top kinematics.Point
	n := 0.0
	reach := 0.0
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		sh, ok1 := pointOn(t, kinematics.On(s, kinematics.Shoulder), frame)
		hip, ok2 := pointOn(t, kinematics.On(s, kinematics.Hip), frame)
		if ok1 && ok2 {
			top.X, top.Y = top.X+sh.X, top.Y+sh.Y
			reach = math.Max(reach, math.Hypot(sh.X-hip.X, sh.Y-hip.Y))
			n++
		}
	}
	if n == 0 {
		return
	}
	body := reach / 0.288 // shoulder to hip, share of stature
	x, y := top.X/n, top.Y/n
	half := 0.13 * body
	r := image.Rect(int(x-half), int(y-0.26*body), int(x+half), int(y-0.035*body)).Intersect(image.Rect(0, 0, m.Cols(), m.Rows()))
	if r.Dx() < 3 || r.Dy() < 3 {
		return
	}
	head := m.Region(r)
	defer head.Close()
	k := max(int(0.1*body)/2*2+1, 3)
	gocv.GaussianBlur(head, &head, image.Pt(k, k), float64(k)/2, float64(k)/2, gocv.BorderReplicate)
}
