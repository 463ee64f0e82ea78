package draw_test

import (
	"image"
	"math"
	"path/filepath"
	"testing"

	"gocv.io/x/gocv"

	"steadfall/internal/testkit/synthetic"
	"steadfall/kinematics"
	"steadfall/video/draw"
)

const clips = "../../testdata/clips"

// The head of the rendered athlete is hidden on every frame of every clip, where the points
// are a person's, where the shoulders were lost for a while, and where they were never
// placed. The head is where the true joints say: its middle .091 of stature from the
// shoulders (Drillis and Contini 1966, shoulder to crown .182) in the line of the trunk or
// upright, .075 in radius.
func TestHeadsAreHidden(t *testing.T) {
	all, err := synthetic.Clips(clips)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range all {
		full := c.Track(0.01 * c.BodyPx())
		for name, tr := range map[string]kinematics.Track{"all points": full, "shoulders lost": without(full, func(i int) bool { return i%20 > 4 }), "no shoulders": without(full, func(int) bool { return true })} {
			for frame := range c.Frames {
				rim := draw.HeadOutline(tr, frame, 4000, 4000)
				for _, p := range headOf(c, frame) {
					if !within(rim, p) {
						t.Fatalf("%s, %s, frame %d: the head at %v is outside of what is hidden, %v", c.Name, name, frame, p, rim)
					}
				}
			}
		}
	}
}

// What is hidden holds no detail: the second derivative of its grey values, of which a face
// has much, is gone.
func TestHiddenMeansBlurred(t *testing.T) {
	all, err := synthetic.Clips(clips)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range all {
		tr := c.Track(0.01 * c.BodyPx())
		clip, err := gocv.OpenVideoCaptureWithAPI(filepath.Join(clips, c.Name+".mp4"), gocv.VideoCaptureFFmpeg)
		if err != nil {
			t.Fatal(err)
		}
		m := gocv.NewMat()
		for frame := range c.Frames {
			if frame%30 != 0 {
				clip.Grab(1)
				continue
			}
			if !clip.Read(&m) {
				t.Fatalf("%s ends at frame %d", c.Name, frame)
			}
			face := image.Rectangle{Min: headOf(c, frame)[0], Max: headOf(c, frame)[0]}.Inset(-int(0.06 * c.BodyPx()))
			face = face.Intersect(image.Rect(0, 0, m.Cols(), m.Rows()))
			if face.Empty() {
				continue
			}
			before := detail(m, face)
			draw.HideHead(tr, frame, &m)
			if after := detail(m, face); after > 0.05*before {
				t.Errorf("%s, frame %d: %.0f %% of the face's detail is left", c.Name, frame, 100*after/before)
			}
		}
		m.Close()
		clip.Close()
	}
}

// without is a track without shoulders on some frames.
func without(t kinematics.Track, lost func(i int) bool) kinematics.Track {
	points := map[kinematics.Landmark][]kinematics.Point{}
	for l, all := range t.Points {
		points[l] = append([]kinematics.Point(nil), all...)
		for i := range points[l] {
			if l.Part() == kinematics.Shoulder && lost(i) {
				points[l][i] = kinematics.Point{X: math.NaN(), Y: math.NaN()}
			}
		}
	}
	t.Points = points
	return t
}

// headOf are the rims of the head on a frame by the true joints, its middle in the line of
// the trunk first.
func headOf(c synthetic.Truth, frame int) (out []image.Point) {
	mid := func(part kinematics.Part) (x, y float64) {
		lx, ly, _ := c.Point(frame, kinematics.On(kinematics.Left, part))
		rx, ry, _ := c.Point(frame, kinematics.On(kinematics.Right, part))
		return (lx + rx) / 2, (ly + ry) / 2
	}
	sx, sy := mid(kinematics.Shoulder)
	hx, hy := mid(kinematics.Hip)
	body := c.BodyPx()
	for _, way := range []float64{math.Atan2(sy-hy, sx-hx), -math.Pi / 2} {
		x, y := sx+0.091*body*math.Cos(way), sy+0.091*body*math.Sin(way)
		if len(out) == 0 {
			out = append(out, image.Pt(int(x), int(y)))
		}
		for k := range 12 {
			turn := 2 * math.Pi * float64(k) / 12
			out = append(out, image.Pt(int(x+0.075*body*math.Cos(turn)), int(y+0.075*body*math.Sin(turn))))
		}
	}
	return out
}

// within reports whether a point lies in a polygon, counting the edges above it.
func within(rim []image.Point, p image.Point) bool {
	in := false
	for i, a := range rim {
		b := rim[(i+1)%len(rim)]
		if (a.Y > p.Y) != (b.Y > p.Y) && float64(p.X) < float64(b.X-a.X)*float64(p.Y-a.Y)/float64(b.Y-a.Y)+float64(a.X) {
			in = !in
		}
	}
	return in
}

// detail is the mean square of the second derivative of a part's grey values.
func detail(m gocv.Mat, at image.Rectangle) float64 {
	part := m.Region(at)
	defer part.Close()
	grey, lap := gocv.NewMat(), gocv.NewMat()
	defer grey.Close()
	defer lap.Close()
	gocv.CvtColor(part, &grey, gocv.ColorBGRToGray)
	gocv.Laplacian(grey, &lap, gocv.MatTypeCV64F, 1, 1, 0, gocv.BorderDefault)
	return gocv.Norm(lap, gocv.NormL2) * gocv.Norm(lap, gocv.NormL2) / float64(at.Dx()*at.Dy())
}
