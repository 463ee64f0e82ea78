package phonefiles

import (
	"context"
	"fmt"
	"strconv"
	"strings"
)

// hdrToSDR is how ffmpeg shows high dynamic range on an ordinary screen: reference white is 203
// cd/m² (ITU-R BT.2408-7 §2.1), brighter light is cut off. The landing holds none that is, so a
// reader that rolls it off instead is a little darker just below that white only.
const hdrToSDR = "zscale=t=linear:npl=203,format=gbrpf32le,zscale=p=709,tonemap=clip:desat=0,zscale=t=709:m=709:r=tv,format=yuv420p"

// Shown are pictures of a case's film as ffmpeg shows them, numbered from 0: for each its rows from the
// top, three bytes a pixel, blue first.
func (c Case) Shown(ctx context.Context, path string, numbers ...int) ([][]byte, error) {
	var want []string
	for _, n := range numbers {
		want = append(want, fmt.Sprintf("eq(n,%d)", n))
	}
	filter := "select='" + strings.Join(want, "+") + "'"
	if c.HDR {
		filter += "," + hdrToSDR
	}
	if c.WidePixels {
		filter += ",scale=iw*sar:ih"
	}
	// Left to itself ffmpeg keeps columns that the file crops, where others then lie better for it.
	raw, err := run(ctx, "ffmpeg", "-flags", "unaligned", "-i", path, "-map", c.stream(), "-vf", filter, "-fps_mode", "passthrough", "-f", "rawvideo", "-pix_fmt", "bgr24", "-")
	if err != nil {
		return nil, err
	}
	size := 3 * c.Width * c.Height
	if len(raw) != size*len(numbers) {
		return nil, fmt.Errorf("%s: ffmpeg shows %d bytes of %d pictures, where each should have %d", c.Name, len(raw), len(numbers), size)
	}
	var pictures [][]byte
	for at := 0; at < len(raw); at += size {
		pictures = append(pictures, raw[at:at+size])
	}
	return pictures, nil
}

// Times are the presentation times of all pictures that are shown of a case's film, in s.
func (c Case) Times(ctx context.Context, path string) ([]float64, error) {
	out, err := run(ctx, "ffprobe", "-select_streams", strings.TrimPrefix(c.stream(), "0:"), "-show_entries", "frame=pts_time", "-of", "default=nokey=1:noprint_wrappers=1", path)
	if err != nil {
		return nil, err
	}
	var times []float64
	for _, word := range strings.Fields(string(out)) {
		t, err := strconv.ParseFloat(word, 64)
		if err != nil {
			return nil, fmt.Errorf("%s: a picture has the time %q", c.Name, word)
		}
		times = append(times, t)
	}
	return times, nil
}

// stream names the film to ffmpeg.
func (c Case) stream() string { return fmt.Sprintf("0:v:%d", c.Film) }
