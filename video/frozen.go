package video

import (
	"math"
	"slices"
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
// of a block's mean, of 255, in each row of blocks. No rows where either is damaged, and of the first.
type changes [][]uint8

// most is the largest of some rows' changes; NaN of none.
func most(rows []uint8) float64 {
	if len(rows) == 0 {
		return math.NaN()
	}
	return float64(slices.Max(rows))
}

// frozen reports for each picture whether it shows the moment of the one before it, in whole or from
// some height on, although the athlete was moving there before and after.
func (c changes) frozen() []bool {
	out := stopped(len(c),
		func(i int) bool { return most(c[i]) <= frozenChange },
		func(i int) bool { return most(c[i]) >= movingChange })
	for k := 1; k < seams; k++ {
		for _, part := range []func([]uint8) []uint8{
			func(rows []uint8) []uint8 { return rows[k*len(rows)/seams:] },
			func(rows []uint8) []uint8 { return rows[:k*len(rows)/seams] },
		} {
			still := func(i int) bool { return most(part(c[i])) <= frozenChange }
			moves := func(i int) bool { return moving(part(c[i])) >= tornRows }
			for i, is := range stopped(len(c), still, moves) {
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
