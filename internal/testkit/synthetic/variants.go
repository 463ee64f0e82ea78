package synthetic

import (
	"context"
	"fmt"
	"os/exec"
	"path/filepath"
)

// Variant is a way in which phones, light and edits spoil a clip.
type Variant struct {
	Name   string
	Filter string   // of ffmpeg; empty for none
	Codec  []string // of ffmpeg
	Shrink float64  // of the picture
}

var h264 = []string{"-c:v", "libx264", "-preset", "veryfast", "-crf", "20", "-pix_fmt", "yuv420p"}

// Variants are the clip as it is and its spoilt copies.
var Variants = []Variant{
	{Name: "as filmed", Shrink: 1},
	{"dim", "eq=brightness=-0.2:contrast=0.5,noise=alls=6:allf=t", h264, 1},
	{"blurred", "avgblur=sizeX=1:sizeY=10", h264, 1}, // 21 px from top to bottom, 3 across
	{"half size", "scale=iw/2:ih/2", h264, 0.5},
	{"30 fps", "fps=30", h264, 1},
	{"HEVC", "", []string{"-c:v", "libx265", "-preset", "fast", "-crf", "26", "-x265-params", "log-level=none", "-pix_fmt", "yuv420p"}, 1},
	{"variable rate", "select='not(eq(mod(n,5),2))'", append([]string{"-fps_mode", "passthrough"}, h264...), 1},
}

// Make writes the variant of a clip into a folder and returns its name.
func (v Variant) Make(ctx context.Context, clip, dir string) (string, error) {
	if len(v.Codec) == 0 {
		return clip, nil
	}
	out := filepath.Join(dir, v.Name+" "+filepath.Base(clip))
	args := []string{"-v", "error", "-y", "-i", clip}
	if v.Filter != "" {
		args = append(args, "-vf", v.Filter)
	}
	args = append(append(args, v.Codec...), out)
	if text, err := exec.CommandContext(ctx, "ffmpeg", args...).CombinedOutput(); err != nil {
		return "", fmt.Errorf("ffmpeg: %w: %s", err, text)
	}
	return out, nil
}
