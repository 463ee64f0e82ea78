// Package beside leads from the program that starts at once to the one that reads clips.
//
// Loading OpenCV takes a third of a second, longer than scoring a track. So steadfall is
// installed twice, from the same source: steadfall without cgo and so without OpenCV, and
// beside it steadfall-clips with all of it. The first turns into the second as soon as it
// knows that there are pictures to be read or made.
package beside

import (
	"fmt"
	"os"
	"path/filepath"
	"syscall"

	"steadfall/video"
)

// Name is the program that reads clips, in the folder of this one.
const Name = "steadfall-clips"

// ReadClips does nothing in a program that reads clips. In one that does not, the program
// beside it starts again from the same command line in its place, and this returns only
// where that cannot be. Nothing may have been read, written or said before.
func ReadClips() error {
	if video.ReadsClips {
		return nil
	}
	self, err := os.Executable()
	if err != nil {
		return fmt.Errorf("this program cannot find its own folder, so not the part that reads clips: %w", err)
	}
	other := filepath.Join(filepath.Dir(self), Name)
	if err := syscall.Exec(other, append([]string{other}, os.Args[1:]...), os.Environ()); err != nil {
		return fmt.Errorf("the part of steadfall that reads clips cannot be started: %w; %q belongs beside %q, so install both again", err, other, self)
	}
	return nil
}
