//go:build cgo

package video

import (
	"context"
	"errors"

	"gocv.io/x/gocv"
	"golang.org/x/sync/errgroup"
)

// framesAhead is how many frames are decoded before they are used.
const framesAhead = 4

// shot is what was made of a frame, with its time.
type shot struct {
	picture gocv.Mat
	stamp   Stamp
}

// stream hands every frame of the clip to use, as prepare made it; use closes the picture
// it is given. Decoding and preparing go on while the frames before are used, a few ahead:
// two cores are busy, and no more than those few are held, however long the clip.
func (c *Clip) stream(ctx context.Context, prepare func(gocv.Mat) gocv.Mat, use func(gocv.Mat, Stamp)) error {
	var g errgroup.Group
	ahead := make(chan shot, framesAhead)
	g.Go(func() error {
		defer close(ahead)
		picture := gocv.NewMat()
		defer picture.Close()
		for {
			s, err := c.next(&picture)
			if errors.Is(err, errEnd) {
				return c.finish()
			}
			if err != nil {
				return err
			}
			next := shot{prepare(picture), s}
			select {
			case ahead <- next:
			case <-ctx.Done():
				next.picture.Close()
				return nil // the other side says why
			}
		}
	})
	g.Go(func() error {
		for s := range ahead { // to the end in any case: pictures must be freed
			if ctx.Err() == nil {
				use(s.picture, s.stamp)
			} else {
				s.picture.Close()
			}
		}
		return ctx.Err()
	})
	return g.Wait()
}
