package flow

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A course of any length gives back what was put into it; where the flow failed there is no
// step, whatever was measured.
func TestCourse(t *testing.T) {
	var c Course
	c.Lose(blockSteps - 1)
	want := Step{D: r2.Vec{X: 1.5, Y: -2}, SD: 0.25, OK: true}
	for range 3 { // the last one of a block and the first ones of the next
		c.Lose(1)
		c.PutLast(want)
	}
	c.Put(blockSteps, Step{D: r2.Vec{X: 7, Y: 7}, SD: 0.1})
	for i := range c.Count() {
		w := Step{}
		if i == blockSteps-1 || i == blockSteps+1 {
			w = want
		}
		if got := c.At(i); got != w {
			t.Errorf("step %d: %+v, want %+v", i, got, w)
		}
	}
}
