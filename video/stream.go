//go:build cgo

package video

import (
	"context"
	"fmt"
	"image"
	"io"
	"math"

	"gocv.io/x/gocv"
	"golang.org/x/sync/errgroup"

	"steadfall/video/clip"
	"steadfall/video/mat"
)

// framesAhead is how many frames are decoded before they are used.
const framesAhead = 4

// minFrames is the least number of whole pictures in which a landing may be looked for.
const minFrames = 10

// shot is a frame with its small grey picture, which is empty where the frame is damaged. Its
// colours can still be asked for until it is closed.
type shot struct {
	clip.Picture
	grey  gocv.Mat
	again bool // it shows the moment of the one before, though the athlete moves
}

func (s shot) Close() {
	s.Picture.Close()
	s.grey.Close()
}

// stream hands every frame of a clip to use, with an area of it as a grey picture, shrunk by
// a whole number; use takes the grey picture over, and may ask for colours until it returns.
// Decoding and shrinking go on while the frames before are used, a few ahead: two cores are
// busy, and no more than those few are held, however long the clip. In the end it tells which
// frames are frozen.
func stream(ctx context.Context, film *clip.Film, area image.Rectangle, shrink int, use func(shot)) (frozen []bool, err error) {
	c := newChanges(followedBody / 50)
	defer c.close()
	var g errgroup.Group
	ahead := make(chan shot, framesAhead)
	h := held{most: max(framesAhead, heldBytes/(film.Width*film.Height))}
	send := func(all []shot) {
		for _, s := range all {
			select {
			case ahead <- s:
			case <-ctx.Done():
				s.Close()
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
			next := shot{Picture: p.Keep(), grey: gocv.NewMat()}
			if !p.Damaged {
				whole++
				next.grey.Close()
				next.grey = mat.Grey(p, area, shrink)
			}
			send(h.take(next, c.see(next.grey)))
			if ctx.Err() != nil {
				return nil // the other side says why
			}
		}
	})
	g.Go(func() error {
		for s := range ahead { // to the end in any case: pictures must be freed
			if ctx.Err() == nil {
				use(s)
				s.Picture.Close()
			} else {
				s.Close()
			}
		}
		return ctx.Err()
	})
	err = g.Wait()
	return c.frozen(), err
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
