//go:build cgo

// Package mat makes OpenCV's pictures of a clip's: in grey or in colours, a part of the frame,
// shrunk by a whole number. Whoever makes one closes it.
package mat

import (
	"image"

	"gocv.io/x/gocv"

	"steadfall/video/clip"
)

// Grey is an area of a picture in grey.
func Grey(p clip.Picture, area image.Rectangle, shrink int) gocv.Mat {
	m := gocv.NewMatWithSize(area.Dy()/shrink, area.Dx()/shrink, gocv.MatTypeCV8UC1)
	p.Grey(area, shrink, bytesOf(m))
	return m
}

// Colours is an area of a picture in colours, blue first.
func Colours(p clip.Picture, area image.Rectangle, shrink int) gocv.Mat {
	m := gocv.NewMatWithSize(area.Dy()/shrink, area.Dx()/shrink, gocv.MatTypeCV8UC3)
	p.BGR(area, shrink, bytesOf(m))
	return m
}

// bytesOf are the bytes of a picture that lies in one piece, as new ones do.
func bytesOf(m gocv.Mat) []byte {
	b, err := m.DataPtrUint8()
	if err != nil {
		panic(err) // only of pictures of other types, or in pieces
	}
	return b
}

// Divisible is the largest area of a frame that a whole number divides.
func Divisible(width, height, shrink int) image.Rectangle {
	return image.Rect(0, 0, width/shrink*shrink, height/shrink*shrink)
}

// CloseAll closes pictures.
func CloseAll(ms []gocv.Mat) {
	for i := range ms {
		ms[i].Close()
	}
}
