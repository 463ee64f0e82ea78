//go:build cgo

package video

import (
	"context"
	"image"
	"math"

	"steadfall/video/clip"
	"steadfall/video/mat"
	"steadfall/video/plane"
	"steadfall/video/pose"
	"steadfall/video/track"
)

// Place finds the people in a clip, from left to right, and places their points on every
// frame. The net's points are measurements with a steady offset and a fresh error;
// optical flow carries them from frame to frame; points placed by hand, if any, belong
// to the person they lie on and win over the net's.
func Place(ctx context.Context, path string, nets Nets, pl Placements, tell Progress) ([]Person, Footage, error) {
	film, err := clip.Open(path)
	if err != nil {
		return nil, Footage{}, err
	}
	defer film.Close()
	if err := pl.Check(film.Width, film.Height, 0); err != nil {
		return nil, Footage{}, err
	}
	loaded, err := pose.Load(nets)
	if err != nil {
		return nil, Footage{}, err
	}
	defer loaded.Close()
	l := newLook(film.Width, film.Height)
	p := track.NewPlacer(pl, film.Width, film.Height, l.to)
	defer p.Close()
	times, frozen, err := stream(ctx, film, l.area, l.shrink, tell, func(s frame) { l.show(s, loaded, p) })
	if err != nil {
		return nil, Footage{}, err
	}
	if err := pl.Check(film.Width, film.Height, len(times)); err != nil {
		return nil, Footage{}, err
	}
	people := p.People(frozen)
	if len(people) == 0 {
		return nil, Footage{}, &NobodyError{path, l.light < blackPicture*float64(len(times))}
	}
	return people, Footage{film.Info, film.Losses(), freezes(frozen, times)}, nil
}

// blackPicture is the mean grey of 255 under which nothing can be seen.
const blackPicture = 12

// look is how the pictures of a clip are looked at when points are placed.
type look struct {
	area   image.Rectangle // of the frame: all but what the shrinking leaves over
	shrink int
	fit    mat.Fit
	to     plane.Cut // of the small pictures
	light  float64   // sum of their mean grey, as they were
}

// Automatic placing looks at pictures shrunk to about this length of their longer side: a
// person of 700 px of 1920 is then 350 px tall, more than the net's square shows. They are shrunk
// by the nearest whole number, and what that leaves too large, as 1280 px, once more: noise
// that nothing has averaged took a dim clip's depth 3 cm off.
const placeSide = 960

func newLook(width, height int) *look {
	shrink := max(1, int(math.Round(float64(max(width, height))/placeSide)))
	area := mat.Divisible(width, height, shrink)
	small := area.Size().Div(shrink)
	k := math.Min(1, placeSide/float64(max(small.X, small.Y)))
	small = image.Pt(int(math.Round(float64(small.X)*k)), int(math.Round(float64(small.Y)*k)))
	return &look{area: area, shrink: shrink, fit: mat.Fit{Size: small}, to: plane.Cut{K: k / float64(shrink)}}
}

// show gives a frame to the placer, with colours for as long as it looks at it.
func (l *look) show(f frame, nets *pose.Loaded, p *track.Placer) {
	if f.grey != nil && !f.again {
		l.light += f.grey.Fit(&l.fit)
	}
	var colours pose.Picture
	next := f.tracked()
	next.Colours = func() pose.Picture {
		if colours == nil {
			colours = nets.Picture(f.Picture, l.area, l.shrink, &l.fit)
		}
		return colours
	}
	p.Next(next)
	if colours != nil {
		colours.Close()
	}
}
