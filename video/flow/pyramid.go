//go:build cgo

package flow

/*
#cgo CFLAGS: -O3
#include "lk.h"
*/
import "C"

import (
	"golang.org/x/sys/cpu"
	"gonum.org/v1/gonum/spatial/r2"
)

// ownLucasKanade tells whether points are followed by lk.c, four times as fast as by OpenCV's, which
// other processors have, and those told so by GODEBUG=cpu.avx2=off.
var ownLucasKanade = cpu.X86.HasAVX2

// widestWindow is the widest that lk.c takes, px.
const widestWindow = C.LK_WINDOW

// pyramid is a grey picture with its halves.
type pyramid struct {
	c             *C.lk_pyramid
	width, height int
}

// newPyramid is the pyramid of a picture whose rows lie in one piece; ok is false of pictures too small
// for one, and where there is no memory.
func newPyramid(grey []byte, width, height int) (p pyramid, ok bool) {
	c := C.lk_new(C.int(width), C.int(height))
	if c == nil {
		return pyramid{}, false
	}
	C.lk_build(c, (*C.uint8_t)(&grey[0]), C.int(width))
	return pyramid{c, width, height}, true
}

func (p pyramid) close() { C.lk_free(p.c) }

// follow is Picture.Follow between pyramids of one size.
func (p pyramid) follow(next pyramid, from, seed []r2.Vec, window, levels int) (to []r2.Vec, ok []bool, texture []float64) {
	n := len(from)
	a, b, tex, found := make([]C.float, 2*n), make([]C.float, 2*n), make([]C.float, n), make([]C.uint8_t, n)
	for i := range from {
		a[2*i], a[2*i+1] = C.float(from[i].X), C.float(from[i].Y)
		b[2*i], b[2*i+1] = C.float(seed[i].X), C.float(seed[i].Y)
	}
	C.lk_follow(p.c, next.c, C.int(n), &a[0], &b[0], &found[0], &tex[0], C.int(window), C.int(levels), minTexture)
	to, ok, texture = make([]r2.Vec, n), make([]bool, n), make([]float64, n)
	for i := range from {
		to[i] = r2.Vec{X: float64(b[2*i]), Y: float64(b[2*i+1])}
		ok[i], texture[i] = found[i] == 1 && inside(to[i], next.width, next.height), float64(tex[i])
	}
	return to, ok, texture
}

// inside tells whether a point lies in a picture.
func inside(p r2.Vec, width, height int) bool {
	return p.X >= 0 && p.Y >= 0 && p.X <= float64(width-1) && p.Y <= float64(height-1)
}
