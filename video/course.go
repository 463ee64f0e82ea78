package video

import "gonum.org/v1/gonum/spatial/r2"

// step is how far one landmark moved from a frame to the next, with the
// standard deviation of each axis. OK is false where the flow failed its
// checks: the landmark was lost there.
type step struct {
	D  r2.Vec
	SD float64
	OK bool
}

// way is how far the landmark went, and the variance of each axis: lostVar where it was lost,
// for such a step carries no position.
func (s step) way(lostVar float64) (d r2.Vec, variance float64) {
	if !s.OK {
		return r2.Vec{}, lostVar
	}
	return s.D, s.SD * s.SD
}

// course is the steps of one landmark through a clip; step i leads from frame i to frame i+1.
// A clip may be long, so they are packed (a float32 knows a step to seven digits), and held in
// blocks, which need not be copied as it grows.
type course struct {
	blocks [][]packedStep
	n      int
}

// packedStep is a step of no length and no standard deviation where the flow failed.
type packedStep struct{ dx, dy, sd float32 }

// blockSteps is how many steps a block holds: half a minute of a phone's clip.
const blockSteps = 2048

// count is how many steps there are.
func (c *course) count() int { return c.n }

// lose adds so many steps on which the landmark was not followed.
func (c *course) lose(n int) {
	for c.n += n; len(c.blocks)*blockSteps < c.n; {
		c.blocks = append(c.blocks, make([]packedStep, blockSteps))
	}
}

func (c *course) at(i int) step {
	p := c.blocks[i/blockSteps][i%blockSteps]
	return step{D: r2.Vec{X: float64(p.dx), Y: float64(p.dy)}, SD: float64(p.sd), OK: p.sd > 0}
}

func (c *course) put(i int, s step) {
	p := packedStep{}
	if s.OK {
		p = packedStep{float32(s.D.X), float32(s.D.Y), float32(s.SD)}
	}
	c.blocks[i/blockSteps][i%blockSteps] = p
}

// putLast replaces the step to the latest frame.
func (c *course) putLast(s step) { c.put(c.n-1, s) }

// carried is how flow carried one landmark so far, and where it stands.
type carried struct {
	steps   course
	at, vel r2.Vec
	alive   bool
}

// move advances the landmark by a step, or loses it.
func (c *carried) move(s step) {
	c.alive = s.OK
	c.at, c.vel = r2.Add(c.at, s.D), s.D
}
