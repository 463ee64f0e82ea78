//go:build cgo

package video

import (
	"image"
	"math"
	"slices"

	"gocv.io/x/gocv"

	"steadfall/kinematics"
	"steadfall/video/mat"
)

// A camera or decoder that hangs, a phone that drops pictures, and a program that fills up a
// slower clip all show a picture again while the athlete moves on. The decoder takes it for
// whole. Such pictures are told by how much the next one differs, block by block: nobody stops
// dead within one picture and is as fast again in the next.

// Between two pictures of the same moment no block changes by more than frozenChange of 255:
// noise and what the codec smooths over time. Where somebody moves, some block changes by
// movingChange at least. Blocks are about a fiftieth of a person wide: smaller ones change with
// what the codec adds to a picture that is shown again, by up to 6 (a clip of 1.2 Mbit/s).
const (
	frozenChange = 3
	movingChange = 4 * frozenChange
)

// A picture may also be torn: from some height on it shows what the one before it showed. The decoder
// takes it for whole where it was torn before it was coded.

// changes are how much each picture of a clip differs from the one before it: the largest change
// of a block's mean, of 255, in all and in each row of blocks. NaN and no rows where either is damaged,
// and of the first.
type changes struct {
	block  int      // how wide one is, px of the pictures that are seen
	before gocv.Mat // in blocks; empty after a damaged picture
	by     []float64
	rows   [][]uint8
}

func newChanges(block int) *changes { return &changes{block: block, before: gocv.NewMat()} }

func (c *changes) close() { c.before.Close() }

// see takes the next small grey picture, empty where it is damaged, and returns how much it
// differs.
func (c *changes) see(grey gocv.Mat) float64 {
	now := gocv.NewMat()
	if !grey.Empty() {
		gocv.Resize(grey, &now, image.Pt(max(1, grey.Cols()/c.block), max(1, grey.Rows()/c.block)), 0, 0, gocv.InterpolationArea)
	}
	by, rows := math.NaN(), []uint8(nil)
	if !now.Empty() && !c.before.Empty() {
		rows = largest(c.before, now)
		by = float64(slices.Max(rows))
	}
	c.by, c.rows = append(c.by, by), append(c.rows, rows)
	c.before.Close()
	c.before = now
	return by
}

// largest is the largest difference of two pictures in each row.
func largest(a, b gocv.Mat) []uint8 {
	diff, most := gocv.NewMat(), gocv.NewMat()
	defer mat.CloseAll([]gocv.Mat{diff, most})
	gocv.AbsDiff(a, b, &diff)
	gocv.Reduce(diff, &most, 1, gocv.ReduceMax, gocv.MatTypeCV8U)
	return most.ToBytes()
}

// frozen reports for each picture whether it shows the moment of the one before it, in whole or from
// some height on, although the athlete was moving there before and after.
func (c *changes) frozen() []bool {
	out := stopped(len(c.by),
		func(i int) bool { return c.by[i] <= frozenChange },
		func(i int) bool { return c.by[i] >= movingChange })
	for k := 1; k < seams; k++ {
		for _, part := range []func([]uint8) []uint8{
			func(rows []uint8) []uint8 { return rows[k*len(rows)/seams:] },
			func(rows []uint8) []uint8 { return rows[:k*len(rows)/seams] },
		} {
			still := func(i int) bool {
				rows := part(c.rows[i])
				return len(rows) > 0 && slices.Max(rows) <= frozenChange
			}
			moves := func(i int) bool { return moving(part(c.rows[i])) >= tornRows }
			for i, is := range stopped(len(c.rows), still, moves) {
				out[i] = out[i] || is
			}
		}
	}
	return out
}

// A tear is looked for at each eighth of the picture's height. What stops there must be a limb at least:
// tornRows rows of blocks are a sixth of a person, more than the feet, which do stop when they land.
const (
	seams    = 8
	tornRows = 8
)

// moving counts the rows in which somebody moves.
func moving(rows []uint8) (n int) {
	for _, v := range rows {
		if v >= movingChange {
			n++
		}
	}
	return n
}

// stopped reports for each of n pictures whether it is in a stretch that is still, although there is
// movement right before and right after it.
func stopped(n int, still, moves func(i int) bool) []bool {
	out := make([]bool, n)
	for i := 1; i < n; {
		j := i
		for j < n && still(j) {
			j++
		}
		if j < n && moves(i-1) && moves(j) {
			for k := i; k < j; k++ {
				out[k] = true
			}
		}
		i = j + 1
	}
	return out
}

// oneFreezeS joins stretches that lie closer, s: a clip filled up to twice its rate is one.
const oneFreezeS = 0.25

// freezes are the stretches of a clip in which pictures are frozen.
func freezes(frozen []bool, timeS []float64) (out []Freeze) {
	for i, f := range frozen {
		if !f {
			continue
		}
		if n := len(out); n > 0 && timeS[i]-out[n-1].ToS < oneFreezeS {
			out[n-1].ToS = timeS[i]
			out[n-1].Pictures++
		} else {
			out = append(out, Freeze{FromS: timeS[i], ToS: timeS[i], Pictures: 1})
		}
	}
	return out
}

// unseen takes all points off the frozen pictures of a track.
func unseen(t kinematics.Track, frozen []bool) {
	for _, points := range t.Points {
		for i := range points {
			if frozen[i] {
				points[i] = kinematics.Unseen()
			}
		}
	}
}

// heldBytes is how much of a clip may be held back, luma of its pictures.
const heldBytes = 32 << 20

// held holds back pictures that may turn out to be frozen, until the next one tells, so that nobody
// follows or places points on them. A longer stretch than it can hold is told in the end only.
type held struct {
	most   int
	before float64 // how much the last picture differed that was let go
	shots  []shot
}

// A frozen stretch of up to shortFreeze pictures is followed over: a slower clip that was filled up
// has one after each picture.
const shortFreeze = 2

// take takes the next picture and returns those that can be looked at now. Those of a long frozen
// stretch come without their grey picture, as damaged ones do.
func (h *held) take(s shot, by float64) []shot {
	if by <= frozenChange && h.before >= movingChange && len(h.shots) < h.most {
		h.shots = append(h.shots, s)
		return nil
	}
	return append(h.release(by), s)
}

// release lets go of what was held, when the next picture differs that much.
func (h *held) release(by float64) []shot {
	out := h.shots
	for i := range out {
		out[i].again = by >= movingChange
		if out[i].again && len(out) > shortFreeze {
			out[i].grey.Close()
			out[i].grey = gocv.NewMat()
		}
	}
	h.shots, h.before = nil, by
	return out
}

func (h *held) close() {
	for _, s := range h.shots {
		s.Close()
	}
}
