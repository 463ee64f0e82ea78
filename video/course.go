package video

// course is the steps of one landmark through a clip; step i leads from frame i to frame i+1.
// A clip may be long, so they are packed: a float32 knows a step to seven digits.
type course []packedStep

// packedStep is a step of no length and no standard deviation where the flow failed.
type packedStep struct{ dx, dy, sd float32 }

func packed(s step) packedStep {
	if !s.OK {
		return packedStep{}
	}
	return packedStep{float32(s.D.X), float32(s.D.Y), float32(s.SD)}
}

func (c course) at(i int) step {
	p := c[i]
	return step{D: vec{float64(p.dx), float64(p.dy)}, SD: float64(p.sd), OK: p.sd > 0}
}

func (c course) put(i int, s step) { c[i] = packed(s) }

// putLast replaces the step to the latest frame.
func (c course) putLast(s step) { c.put(len(c)-1, s) }

// lose adds so many steps on which the landmark was not followed.
func (c *course) lose(n int) { *c = append(*c, make(course, n)...) }
