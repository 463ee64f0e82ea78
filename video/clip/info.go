// Package clip reads a clip as the phone shows it: each picture upright, in square pixels
// and in ordinary colours, with its true time. It is the only door to FFmpeg.
//
//	film, err := clip.Open("front.mp4")
//	for {
//		picture, err := film.Next() // io.EOF after the last
//		picture.Grey(area, 2, grey) // for tracking, from the decoder's luma
//	}
//
// What the file hides is hidden here too: what an edit list cuts off, other streams, sound.
package clip

import (
	"fmt"
	"path/filepath"
)

// Error says in one plain sentence why a file cannot be used as a clip.
type Error struct {
	Path   string
	Reason string
}

func (e *Error) Error() string { return fmt.Sprintf("%q %s", filepath.Base(e.Path), e.Reason) }

// Info is what a clip says of itself.
type Info struct {
	Path          string
	Container     string  // "mp4", "mov", "mkv" or "webm"
	Codec         string  // such as "h264"
	Width, Height int     // px of the picture as shown
	RotationDeg   int     // how far the stored picture is turned clockwise to be shown: 0, 90, 180 or 270
	Mirrored      bool    // the file shows its stored picture as in a mirror, before that turn
	FrontCamera   bool    // the file says that the camera beside the screen filmed it
	HDR           string  // "HLG" or "PQ", brought to the ordinary range; "" for an ordinary clip
	NominalFPS    float64 // what the header says; the true rate is in the times
	CaptureFPS    float64 // how fast the phone says it filmed, where it plays slower; 0 where it says nothing
	Frames        int     // about how many pictures there are to come, for progress; 0 where the file does not say
}

// Loss is a stretch of a clip that is damaged. Its pictures are handed out as damaged.
type Loss struct {
	FromS, ToS float64 // times of the last whole picture before and the first after
	CutOff     bool    // the file ends within it: there is none after
}
