//go:build cgo

package flow

import (
	"image"

	"gocv.io/x/gocv"

	"steadfall/video/mat"
)

// Changes tells how much each picture of a clip differs from the one before it.
type Changes struct {
	block  int      // how wide a block is, px
	before gocv.Mat // in blocks; empty after a damaged picture
}

// NewChanges compares pictures in blocks of that width, px.
func NewChanges(block int) *Changes { return &Changes{block: block, before: gocv.NewMat()} }

// Close lets go of the last picture.
func (c *Changes) Close() { c.before.Close() }

// To is the largest change of a block's mean from the picture before to this one, of 255, in each row
// of blocks: none where either is damaged, and of the first. A damaged one is nil.
func (c *Changes) To(g *Grey) (rows []uint8) {
	now := gocv.NewMat()
	if g != nil {
		gocv.Resize(g.mat, &now, image.Pt(max(1, g.mat.Cols()/c.block), max(1, g.mat.Rows()/c.block)), 0, 0, gocv.InterpolationArea)
	}
	if !now.Empty() && !c.before.Empty() {
		rows = largest(c.before, now)
	}
	c.before.Close()
	c.before = now
	return rows
}

// largest is the largest difference of two pictures in each row.
func largest(a, b gocv.Mat) []uint8 {
	diff, most := gocv.NewMat(), gocv.NewMat()
	defer mat.CloseAll([]gocv.Mat{diff, most})
	gocv.AbsDiff(a, b, &diff)
	gocv.Reduce(diff, &most, 1, gocv.ReduceMax, gocv.MatTypeCV8U)
	return most.ToBytes()
}
