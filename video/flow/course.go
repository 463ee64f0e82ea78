package flow

import "gonum.org/v1/gonum/spatial/r2"

// Course is the steps of one landmark through a clip; step i leads from frame i to frame i+1.
// A clip may be long, so they are packed (a float32 knows a step to seven digits), and held in
// blocks, which need not be copied as it grows.
type Course struct {
	blocks [][]packedStep
	n      int
}

// packedStep is a step of no length and no standard deviation where the flow failed.
type packedStep struct{ dx, dy, sd float32 }

// blockSteps is how many steps a block holds: half a minute of a phone's clip.
const blockSteps = 2048

// Count is how many steps there are.
func (c *Course) Count() int { return c.n }

// Lose adds so many steps on which the landmark was not followed.
func (c *Course) Lose(n int) {
	for c.n += n; len(c.blocks)*blockSteps < c.n; {
		c.blocks = append(c.blocks, make([]packedStep, blockSteps))
	}
}

func (c *Course) At(i int) Step {
	p := c.blocks[i/blockSteps][i%blockSteps]
	return Step{D: r2.Vec{X: float64(p.dx), Y: float64(p.dy)}, SD: float64(p.sd), OK: p.sd > 0}
}

func (c *Course) Put(i int, s Step) {
	p := packedStep{}
	if s.OK {
		p = packedStep{float32(s.D.X), float32(s.D.Y), float32(s.SD)}
	}
	c.blocks[i/blockSteps][i%blockSteps] = p
}

// PutLast replaces the step to the latest frame.
func (c *Course) PutLast(s Step) { c.Put(c.n-1, s) }
