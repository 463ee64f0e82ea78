//go:build cgo

package video

import (
	"context"
	"fmt"
	"image"
	"io"
	"math"

	"golang.org/x/sync/errgroup"

	"steadfall/video/clip"
	"steadfall/video/flow"
	"steadfall/video/track"
)

// framesAhead is how many frames are decoded before they are used.
const framesAhead = 4

// changeBlock is about a fiftieth of a person in the small pictures, px.
const changeBlock = 8

// minFrames is the least number of whole pictures in which a landing may be looked for.
const minFrames = 10

// frame is a picture of a clip with its small grey one, which is nil where it is damaged. Its
// colours can still be asked for until it is closed.
type frame struct {
	clip.Picture
	grey  *flow.Grey
	again bool // it shows the moment of the one before, though the athlete moves
}

// tracked is the frame as the trackers take it.
func (f frame) tracked() track.Frame {
	out := track.Frame{Number: f.Frame, TimeS: f.TimeS, Again: f.again}
	if f.grey != nil {
		out.Grey = f.grey
	}
	return out
}

func (f frame) Close() {
	f.Picture.Close()
	if f.grey != nil {
		f.grey.Close()
	}
}

// stream hands every frame of a clip to use, with an area of it as a grey picture, shrunk by
// a whole number; use takes the grey picture over, and may ask for colours until it returns.
// Decoding and shrinking go on while the frames before are used, a few ahead: two cores are
// busy, and no more than those few are held, however long the clip. In the end it tells the times of
// all frames and which are frozen.
func stream(ctx context.Context, film *clip.Film, area image.Rectangle, shrink int, tell Progress, use func(frame)) (times []float64, frozen []bool, err error) {
	c := flow.NewChanges(changeBlock)
	defer c.Close()
	var by changes
	var g errgroup.Group
	ahead := make(chan frame, framesAhead)
	h := held{most: max(framesAhead, heldBytes/(film.Width*film.Height))}
	send := func(all []frame) {
		for _, f := range all {
			select {
			case ahead <- f:
			case <-ctx.Done():
				f.Close()
			}
		}
	}
	g.Go(func() error {
		defer close(ahead)
		defer h.close()
		whole := 0
		for {
			p, err := film.Next()
			if err == io.EOF {
				send(h.release(math.NaN()))
				return enough(film.Path, whole)
			}
			if err != nil {
				return err
			}
			next := frame{Picture: p.Keep()}
			if !p.Damaged {
				whole++
				next.grey = flow.NewGrey(p, area, shrink)
			}
			by = append(by, c.To(next.grey))
			send(h.pass(next, most(by[len(by)-1])))
			if ctx.Err() != nil {
				return nil // the other side says why
			}
		}
	})
	g.Go(func() error {
		for f := range ahead { // to the end in any case: pictures must be freed
			if ctx.Err() == nil {
				use(f)
				f.Picture.Close()
				if times = append(times, f.TimeS); tell != nil {
					tell(len(times), film.Frames)
				}
			} else {
				f.Close()
			}
		}
		return ctx.Err()
	})
	err = g.Wait()
	return times, by.frozen(), err
}

// enough says in plain words where a clip has too few whole pictures.
func enough(path string, whole int) error {
	if whole < minFrames {
		return &OpenError{Path: path, Reason: fmt.Sprintf("holds %s; a landing needs at least %d, so film it as video from before the step-off until after the hold", plural(whole, "frame"), minFrames)}
	}
	return nil
}

func plural(n int, what string) string {
	if n == 1 {
		return "one " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// heldBytes is how much of a clip may be held back, luma of its pictures.
const heldBytes = 32 << 20

// held holds back pictures that may turn out to be frozen, until the next one tells, so that nobody
// follows or places points on them. A longer stretch than it can hold is told in the end only.
type held struct {
	most   int
	before float64 // how much the last picture differed that was let go
	frames []frame
}

// A frozen stretch of up to shortFreeze pictures is followed over: a slower clip that was filled up
// has one after each picture.
const shortFreeze = 2

// pass holds the next picture back, or returns those that can be looked at now. Those of a long
// frozen stretch come without their grey picture, as damaged ones do.
func (h *held) pass(f frame, by float64) []frame {
	if by <= frozenChange && h.before >= movingChange && len(h.frames) < h.most {
		h.frames = append(h.frames, f)
		return nil
	}
	return append(h.release(by), f)
}

// release lets go of what was held, when the next picture differs that much.
func (h *held) release(by float64) []frame {
	out := h.frames
	for i := range out {
		out[i].again = by >= movingChange
		if out[i].again && len(out) > shortFreeze {
			out[i].grey.Close()
			out[i].grey = nil
		}
	}
	h.frames, h.before = nil, by
	return out
}

func (h *held) close() {
	for _, f := range h.frames {
		f.Close()
	}
}
