package desk

import (
	"context"
	"errors"
	"slices"
	"sync"

	"steadfall/internal/worker"
)

// What the pictures of clips that are looked at may take in memory. They are kept nowhere
// else: nothing of them is left on the disk.
const (
	mostClips  = 4
	mostFrames = 160 << 20 // bytes of one clip
)

// frames holds the pictures of the clips that were looked at last. A picture is there as
// soon as its turn comes; the others go on being made.
type frames struct {
	worker worker.Worker
	lock   sync.Mutex
	clips  map[string]*clipFrames // by the clip's path
	order  []string               // the one asked for last at the end
}

type clipFrames struct {
	lock    sync.Mutex
	changed chan struct{} // closed at the next change
	jpegs   [][]byte
	bytes   int
	err     error // why there will be no more; errAllFrames at the end
	stop    context.CancelFunc
}

var (
	errAllFrames = errors.New("the clip has no such frame")
	errTooMany   = errors.New("the clip is too long to look at frame by frame; cut it to the landing")
)

// get waits for one frame of a clip.
func (f *frames) get(ctx context.Context, path string, n int) ([]byte, error) {
	c := f.clip(path)
	for {
		c.lock.Lock()
		jpeg, err, changed := c.at(n), c.err, c.changed
		c.lock.Unlock()
		if jpeg != nil {
			return jpeg, nil
		}
		if err != nil {
			return nil, err
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-changed:
		}
	}
}

func (c *clipFrames) at(n int) []byte {
	if n < len(c.jpegs) {
		return c.jpegs[n]
	}
	return nil
}

// clip is the pictures of a clip, begun where they are not there; the clip that nobody
// asked for the longest gives way.
func (f *frames) clip(path string) *clipFrames {
	f.lock.Lock()
	defer f.lock.Unlock()
	f.order = append(slices.DeleteFunc(f.order, func(s string) bool { return s == path }), path)
	if c := f.clips[path]; c != nil {
		return c
	}
	if len(f.order) > mostClips {
		f.drop(f.order[0])
	}
	ctx, stop := context.WithCancel(context.Background())
	c := &clipFrames{changed: make(chan struct{}), stop: stop}
	f.clips[path] = c
	go f.make(ctx, path, c)
	return c
}

// make has the pictures of a clip made. A failure is forgotten, so that asking again tries
// again.
func (f *frames) make(ctx context.Context, path string, c *clipFrames) {
	err := f.worker.Frames(ctx, path, func(_ int, jpeg []byte) error {
		c.lock.Lock()
		defer c.lock.Unlock()
		if c.bytes += len(jpeg); c.bytes > mostFrames {
			return errTooMany
		}
		c.jpegs = append(c.jpegs, jpeg)
		c.wake()
		return nil
	})
	if err == nil {
		err = errAllFrames
	} else if !errors.Is(err, errTooMany) {
		f.lock.Lock()
		if f.clips[path] == c {
			f.drop(path)
		}
		f.lock.Unlock()
	}
	c.lock.Lock()
	defer c.lock.Unlock()
	c.err = err
	c.wake()
}

func (c *clipFrames) wake() {
	close(c.changed)
	c.changed = make(chan struct{})
}

// drop forgets a clip; the lock is held.
func (f *frames) drop(path string) {
	if c := f.clips[path]; c != nil {
		c.stop()
		delete(f.clips, path)
	}
	f.order = slices.DeleteFunc(f.order, func(s string) bool { return s == path })
}

// empty forgets every clip: after a deletion, and at the end.
func (f *frames) empty() {
	f.lock.Lock()
	defer f.lock.Unlock()
	for path := range f.clips {
		f.drop(path)
	}
}
