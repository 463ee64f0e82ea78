//go:build cgo

package video

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"gocv.io/x/gocv"

	"steadfall/video/clip"
)

// ReadsClips tells whether this program was built with OpenCV.
const ReadsClips = true

// The largest and smallest pictures that are read. Phones film up to 8K;
// anything beyond is a damaged header.
const (
	maxSide   = 8192
	minSide   = 64
	minFrames = 10
)

// OpenCV property numbers that gocv v0.31.0 does not name
// (opencv2/videoio.hpp, 4.6.0).
const propOrientationMeta = gocv.VideoCaptureProperties(48)

// quiet keeps the C libraries from writing on stderr: what they would say is
// said by OpenError in plain words.
var quiet = sync.OnceFunc(func() {
	os.Setenv("OPENCV_FFMPEG_LOGLEVEL", "-8")
	os.Setenv("OPENCV_LOG_LEVEL", "SILENT")
})

// Clip is an open clip, read once from the first frame to the last.
type Clip struct {
	Info
	vc    *gocv.VideoCapture
	index int
	lastS float64

	untimed int // frames left out at the end, see untimedTail
}

// Open opens a local file with the FFmpeg backend. Only mp4, mov, mkv and webm
// are taken, told by their first bytes, so that no playlist or protocol can
// lead elsewhere. Close the clip after use.
func Open(path string) (*Clip, error) {
	quiet()
	container, err := clip.Sniff(path)
	if err != nil {
		return nil, err
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	refuse := func(reason string) error { return &OpenError{Path: path, Reason: reason} }
	// An absolute path starts with "/", so FFmpeg can never read a protocol in it.
	vc, err := gocv.VideoCaptureFileWithAPI(abs, gocv.VideoCaptureFFmpeg)
	if err != nil {
		return nil, refuse("cannot be read as video: it is damaged, cut off, or in a format this build does not decode; copy it from the phone again")
	}
	c := &Clip{vc: vc, lastS: math.Inf(-1), Info: Info{
		Path: path, Container: container,
		Codec:       codecName(vc.CodecString()),
		Width:       int(vc.Get(gocv.VideoCaptureFrameWidth)),
		Height:      int(vc.Get(gocv.VideoCaptureFrameHeight)),
		RotationDeg: ((int(vc.Get(propOrientationMeta)) % 360) + 360) % 360,
		NominalFPS:  vc.Get(gocv.VideoCaptureFPS),
		Frames:      max(0, int(vc.Get(gocv.VideoCaptureFrameCount))),
	}}
	if c.Width > maxSide || c.Height > maxSide {
		c.Close()
		return nil, refuse(fmt.Sprintf("says its picture is %d × %d pixels, more than any phone films (%d); the file is damaged, copy it from the phone again", c.Width, c.Height, maxSide))
	}
	if c.Width <= 0 || c.Height <= 0 {
		c.Close()
		return nil, refuse("does not say how large its picture is: the file is damaged, copy it from the phone again")
	}
	if c.Width < minSide || c.Height < minSide {
		c.Close()
		return nil, refuse(fmt.Sprintf("has a picture of %d × %d pixels, too small to see a person in; film at 1080p", c.Width, c.Height))
	}
	return c, nil
}

// Close frees the decoder.
func (c *Clip) Close() error { return c.vc.Close() }

// Stamp is the number of a frame, from 0 in presentation order, and its
// presentation time in seconds.
type Stamp struct {
	Frame int
	TimeS float64
}

// errEnd ends a clip.
var errEnd = errors.New("end of clip")

// next decodes the next frame into m. It returns errEnd after the last one.
func (c *Clip) next(m *gocv.Mat) (Stamp, error) {
	if !c.vc.Read(m) || m.Empty() {
		return Stamp{}, errEnd
	}
	s, err := c.stamp()
	if errors.Is(err, errUntimed) {
		return Stamp{}, c.untimedTail()
	}
	return s, err
}

// errUntimed marks a frame to which the decoder gave no time.
var errUntimed = errors.New("frame without a time")

// maxTail is the most frames a decoder may hold back for reordering (H.264 and
// HEVC, 16).
const maxTail = 16

// untimedTail passes over the frames at the very end that OpenCV 4.6 hands out
// when it drains the decoder: their times are lost (read as 0), so they are left
// out. A frame with a time after them means that the clip's times are broken.
func (c *Clip) untimedTail() error {
	for c.untimed = 1; c.untimed <= maxTail; c.untimed++ {
		before := c.vc.Get(gocv.VideoCapturePosFrames)
		c.vc.Grab(1)
		if c.vc.Get(gocv.VideoCapturePosFrames) <= before {
			return errEnd
		}
		if c.vc.Get(gocv.VideoCapturePosMsec) != 0 {
			break
		}
	}
	return c.badTime(0)
}

func (c *Clip) badTime(t float64) error {
	return &OpenError{Path: c.Path, Reason: fmt.Sprintf("gives frame %d the time %.3f s, not after the frame before it; without true times nothing can be measured, so export the clip again without editing it", c.index, t)}
}

// skip passes over the next frame without handing out its picture.
func (c *Clip) skip() (Stamp, error) {
	before := c.vc.Get(gocv.VideoCapturePosFrames)
	c.vc.Grab(1)
	if c.vc.Get(gocv.VideoCapturePosFrames) <= before {
		return Stamp{}, errEnd
	}
	s, err := c.stamp()
	if errors.Is(err, errUntimed) {
		return Stamp{}, c.untimedTail()
	}
	return s, err
}

// seek goes to about a time, s; the time of the frame that is read next says where that is.
// Frames are no longer counted from the beginning then.
func (c *Clip) seek(timeS float64) {
	c.vc.Set(gocv.VideoCapturePosMsec, 1000*timeS)
	c.lastS = math.Inf(-1)
}

func (c *Clip) stamp() (Stamp, error) {
	s := Stamp{c.index, c.vc.Get(gocv.VideoCapturePosMsec) / 1000}
	if s.TimeS < 0 || math.IsNaN(s.TimeS) {
		return s, &OpenError{Path: c.Path, Reason: fmt.Sprintf("gives frame %d the time %.3f s; times must not be negative, so export the clip again without editing it", s.Frame, s.TimeS)}
	}
	if s.TimeS == 0 && c.index > 0 {
		return s, errUntimed
	}
	if s.TimeS <= c.lastS {
		return s, c.badTime(s.TimeS)
	}
	c.lastS = s.TimeS
	c.index++
	return s, nil
}

// finish checks, at the end of the clip, that what was read is what the header
// promised, and returns an error in plain words when it is not enough.
func (c *Clip) finish() error {
	if c.index < minFrames {
		return &OpenError{Path: c.Path, Reason: fmt.Sprintf("holds %s; a landing needs at least %d, so film it as video from before the step-off until after the hold", plural(c.index, "frame"), minFrames)}
	}
	// Containers may count a frame or two that cannot be shown; a cut-off file lacks far more.
	if c.Frames > 0 && float64(c.index+c.untimed) < 0.95*float64(c.Frames)-2 {
		return &OpenError{Path: c.Path, Reason: fmt.Sprintf("stops after %d of %d frames: the file is cut off or damaged, copy it from the phone again", c.index, c.Frames)}
	}
	return nil
}

func plural(n int, what string) string {
	if n == 1 {
		return "one " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// codecName turns the four letters of a stream into the usual name.
func codecName(fourcc string) string {
	f := strings.ToLower(strings.TrimRight(fourcc, " \x00"))
	switch f {
	case "":
		return "unknown"
	case "avc1", "avc3", "h264", "x264":
		return "h264"
	case "hevc", "hvc1", "hev1", "h265":
		return "hevc"
	case "vp80", "vp8":
		return "vp8"
	case "vp90", "vp09", "vp9":
		return "vp9"
	}
	return f
}
