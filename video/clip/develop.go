//go:build cgo

package clip

/*
#include <stdlib.h>
#include "libav.h"
#include "pixels.h"
*/
import "C"

import (
	"errors"
	"image"
	"sync"
	"unsafe"
)

// developer turns decoded frames into pictures as shown. Of most clips it reads the
// decoder's own planes; where their samples lie otherwise or are not square, it first makes
// a frame of which that can be said.
type developer struct {
	size    image.Point // of a frame as decoded
	format  int32
	square  image.Point // of the same in square pixels
	plain   *C.AVFrame  // nil where frames can be read as they are
	toPlain *C.struct_SwsContext
	made    int // the number of the picture it was made from

	levels C.pixels_levels
	curve  *C.uint8_t // of the levels, where there is one
	table  []uint8    // of colours in a high dynamic range

	toColour *C.struct_SwsContext
	colours  *C.uint8_t // scratch
	room     C.size_t

	busy sync.Mutex // kept pictures are developed while the next are
}

// prepare looks at the first frame; all others are alike.
func (d *developer) prepare(f *C.AVFrame, square image.Point, hdr string) error {
	d.size, d.format, d.square = image.Pt(int(f.width), int(f.height)), int32(f.format), square
	use := d.format
	if !readable(use) {
		use = C.AV_PIX_FMT_YUV444P
	}
	if use != d.format || square != d.size {
		d.plain, d.made = C.av_frame_alloc(), -1
		d.plain.format, d.plain.width, d.plain.height = C.int(use), C.int(square.X), C.int(square.Y)
		d.toPlain = C.sws_getContext(f.width, f.height, d.format, C.int(square.X), C.int(square.Y), use, C.SWS_BICUBIC, nil, nil, nil)
		if d.toPlain == nil || C.av_frame_get_buffer(d.plain, 0) < 0 {
			return errors.New("the picture is in colours that cannot be read; film in H.264 or HEVC")
		}
	}
	bits := int(C.av_pix_fmt_desc_get(use).comp[0].depth)
	black, white := 16<<(bits-8), 235<<(bits-8)
	if full(f, use) {
		black, white = 0, 1<<bits-1
	}
	d.levels.black, d.levels.gain = C.int(black), C.int(255*65536/(white-black))
	if hdr != "" {
		curve := greyCurve(bits, float64(black), float64(white), hdr == "HLG")
		d.curve = (*C.uint8_t)(C.CBytes(curve))
		d.levels.curve = d.curve
		d.table = pqTable()
		if hdr == "HLG" {
			d.table = hlgTable()
		}
	}
	return nil
}

// full reports whether black is 0 and not 16 of 255 (ITU-R BT.2100-2, table 9).
func full(f *C.AVFrame, format int32) bool {
	switch format {
	case C.AV_PIX_FMT_YUVJ420P, C.AV_PIX_FMT_YUVJ422P, C.AV_PIX_FMT_YUVJ444P, C.AV_PIX_FMT_GRAY8:
		return true
	}
	return f.color_range == C.AVCOL_RANGE_JPEG
}

// readable reports whether luma lies alone in the first plane, a sample after the other.
func readable(format int32) bool {
	const not = C.AV_PIX_FMT_FLAG_RGB | C.AV_PIX_FMT_FLAG_PAL | C.AV_PIX_FMT_FLAG_BITSTREAM | C.AV_PIX_FMT_FLAG_HWACCEL | C.AV_PIX_FMT_FLAG_BE | C.AV_PIX_FMT_FLAG_FLOAT
	p := C.av_pix_fmt_desc_get(format)
	if p == nil || p.flags&not != 0 {
		return false
	}
	luma := p.comp[0]
	return luma.plane == 0 && luma.offset == 0 && luma.shift == 0 && luma.depth >= 8 && luma.depth <= 12 && luma.step == (luma.depth+7)/8
}

// fits reports whether a frame is there and like the first one.
func (d *developer) fits(f *C.AVFrame) bool {
	if f == nil {
		return false
	}
	return d.size == image.Point{} || d.size == image.Pt(int(f.width), int(f.height)) && d.format == int32(f.format)
}

// source is the frame that a picture is read from.
func (d *developer) source(p Picture) *C.AVFrame {
	f := p.frame
	if d.plain == nil {
		return f
	}
	if d.made != p.Frame {
		d.made = p.Frame
		C.sws_scale(d.toPlain, (**C.uint8_t)(unsafe.Pointer(&f.data)), &f.linesize[0], 0, f.height, (**C.uint8_t)(unsafe.Pointer(&d.plain.data)), &d.plain.linesize[0])
		d.plain.colorspace, d.plain.color_range = f.colorspace, f.color_range
	}
	return d.plain
}

func (d *developer) close() {
	C.sws_freeContext(d.toPlain)
	C.sws_freeContext(d.toColour)
	C.av_frame_free(&d.plain)
	C.free(unsafe.Pointer(d.curve))
	C.free(unsafe.Pointer(d.colours))
}

// part is where an area of the picture as shown lies in the stored one.
func (p Picture) part(area image.Rectangle, shrink int) C.pixels_part {
	f := p.film
	r := f.lies.stored(area, f.shown)
	yes := map[bool]C.int{true: 1}
	return C.pixels_part{
		x: C.int(r.Min.X), y: C.int(r.Min.Y), w: C.int(r.Dx() / shrink), h: C.int(r.Dy() / shrink), shrink: C.int(shrink),
		across: yes[f.lies.across], mirror: yes[f.lies.mirror], upend: yes[f.lies.upend],
	}
}

// checked panics where an area is not one of the picture, a whole number of times shrink
// large, or the room for it is too small.
func (p Picture) checked(area image.Rectangle, shrink, bytes, room int) {
	if shrink < 1 || area.Empty() || !area.In(image.Rectangle{Max: p.film.shown}) || area.Dx()%shrink != 0 || area.Dy()%shrink != 0 {
		panic("clip: no such area in the picture")
	}
	if room < bytes*(area.Dx()/shrink)*(area.Dy()/shrink) {
		panic("clip: too little room for the picture")
	}
}

// Grey writes an area of the picture as shown into out, shrunk by a whole number that divides
// its size, row by row, a byte a pixel: 0 is black, 255 white. A pixel is the mean luma of
// what it is made of. A damaged picture may be black. It panics where the area is not in the picture.
func (p Picture) Grey(area image.Rectangle, shrink int, out []uint8) {
	p.checked(area, shrink, 1, len(out))
	d := &p.film.develop
	if !d.fits(p.frame) { // damaged, and said to be
		clear(out)
		return
	}
	if d.plain != nil {
		d.busy.Lock()
		defer d.busy.Unlock()
	}
	from := d.source(p)
	luma := C.av_pix_fmt_desc_get(int32(from.format)).comp[0]
	plane := C.pixels_plane{at: from.data[0], stride: C.ptrdiff_t(from.linesize[0]), bytes: luma.step}
	C.pixels_grey(plane, p.part(area, shrink), d.levels, (*C.uint8_t)(&out[0]))
}

// BGR is Grey in colours: three bytes a pixel, blue first.
func (p Picture) BGR(area image.Rectangle, shrink int, out []uint8) {
	p.checked(area, shrink, 3, len(out))
	d := &p.film.develop
	if !d.fits(p.frame) {
		clear(out)
		return
	}
	d.busy.Lock()
	defer d.busy.Unlock()
	part := p.part(area, shrink)
	whole, corner := d.coloured(p, image.Rect(0, 0, int(part.w*part.shrink), int(part.h*part.shrink)).Add(image.Pt(int(part.x), int(part.y))))
	part.x, part.y = C.int(corner.X), C.int(corner.Y)
	var table *C.uint8_t
	if d.table != nil {
		table = (*C.uint8_t)(&d.table[0])
	}
	C.pixels_colour(whole, part, table, tableSide, (*C.uint8_t)(&out[0]))
}

// coloured converts the colours of an area of a stored frame and tells where in the result
// the area begins: colours are stored for pixels in twos, so the result may be a little larger.
func (d *developer) coloured(p Picture, area image.Rectangle) (C.pixels_plane, image.Point) {
	from := d.source(p)
	format := C.av_pix_fmt_desc_get(int32(from.format))
	const pair = 16 // more than colours are ever stored for, and what the conversion does at once
	wide := image.Rect(area.Min.X/pair*pair, area.Min.Y/pair*pair, (area.Max.X+pair-1)/pair*pair, (area.Max.Y+pair-1)/pair*pair).
		Intersect(image.Rect(0, 0, d.square.X, d.square.Y))
	to, bytes := int32(C.AV_PIX_FMT_BGR24), 1
	if d.table != nil {
		to, bytes = C.AV_PIX_FMT_RGB48, 2 // in the order of the table
	}
	stride := (3*bytes*wide.Dx() + 63) / 64 * 64
	if need := C.size_t(stride*(wide.Dy()+1) + 64); need > d.room { // the conversion writes past the ends of rows
		C.free(unsafe.Pointer(d.colours))
		d.colours, d.room = (*C.uint8_t)(C.malloc(need)), need
	}
	d.toColour = C.sws_getCachedContext(d.toColour, C.int(wide.Dx()), C.int(wide.Dy()), int32(from.format), C.int(wide.Dx()), C.int(wide.Dy()), to, C.SWS_BICUBIC, nil, nil, nil)
	var range_ C.int
	if full(from, int32(from.format)) {
		range_ = 1
	}
	C.sws_setColorspaceDetails(d.toColour, C.sws_getCoefficients(C.int(from.colorspace)), range_, C.sws_getCoefficients(C.SWS_CS_DEFAULT), 1, 0, 1<<16, 1<<16)
	var planes [4]*C.uint8_t
	for _, c := range format.comp[:format.nb_components] {
		x, y := wide.Min.X, wide.Min.Y
		if c.plane > 0 {
			x, y = x>>format.log2_chroma_w, y>>format.log2_chroma_h
		}
		planes[c.plane] = (*C.uint8_t)(unsafe.Add(unsafe.Pointer(from.data[c.plane]), y*int(from.linesize[c.plane])+x*int(c.step)))
	}
	out, strides := [4]*C.uint8_t{d.colours}, [4]C.int{C.int(stride)}
	C.sws_scale(d.toColour, &planes[0], &from.linesize[0], 0, C.int(wide.Dy()), &out[0], &strides[0])
	return C.pixels_plane{at: d.colours, stride: C.ptrdiff_t(stride), bytes: C.int(bytes)}, area.Min.Sub(wide.Min)
}
