package phonefiles

import (
	"fmt"
	"slices"
)

// Case is one way in which a landing is stored.
type Case struct {
	Name    string
	From    string             // the case whose file it is made of; "" for the stock
	HiddenS [2]float64         // of the film that is stored before and after what is shown, s
	Args    []string           // of ffmpeg, from after its first input to before its output
	Patch   func([]byte) error // what ffmpeg 5.1 does not write
	Ending  string             // "" for mp4

	Film          int     // which of the file's streams of pictures it is, from 0
	Width, Height int     // as shown
	RateHz        float64 // 0 where it varies
	Frames        int     // shown
	Stretched     float64 // by how much what is shown takes longer than what was filmed
	SaysSo        bool    // and the file says how fast it was filmed
	HDR           bool
	WidePixels    bool // pixels are not square
}

func (c Case) ending() string {
	if c.Ending == "" {
		return "mp4"
	}
	return c.Ending
}

// Named is the case of that name; there is one.
func Named(name string) Case {
	return Cases[slices.IndexFunc(Cases, func(c Case) bool { return c.Name == name })]
}

// Cases are all cases, the plain file first. Where a case does not say otherwise, what is shown is what
// the plain file shows.
var Cases = filled(slices.Concat(plain, turned, trimmed, coded, wrapped, mixed, timed, sized))

// filled are the cases with what most have in common.
func filled(cases []Case) []Case {
	for i := range cases {
		c := &cases[i]
		if c.Width == 0 {
			c.Width, c.Height = width, height
		}
		if c.Frames == 0 {
			c.RateHz, c.Frames = rateHz, frames
		}
		if c.Stretched == 0 {
			c.Stretched = 1
		}
	}
	return cases
}

// h264 writes as most phones do, well enough that the measures stay; more are arguments in
// addition.
func h264(more ...string) []string {
	return slices.Concat([]string{"-c:v", "libx264", "-preset", "veryfast", "-crf", "12", "-pix_fmt", "yuv420p", "-g", "60"}, more)
}

// through is h264 through a filter.
func through(filter string, more ...string) []string {
	return h264(append([]string{"-vf", filter}, more...)...)
}

// sound is a second input, its stream 1:a.
func sound(coding ...string) []string {
	return append([]string{"-f", "lavfi", "-i", "sine=duration=2.4", "-c:a", "aac"}, coding...)
}

var plain = []Case{{Name: "plain", Args: h264()}}

// turned are the other orientations of the display matrix, by what is done to the stored picture when it
// is shown. A phone held upright stores a turn of 90° or 270°, its front camera a mirror image of them.
var turned = []Case{
	{Name: "turned 90", Args: through("transpose=cclock"), Patch: matrix{b: 1, c: -1, x: width}.patch},
	{Name: "turned 180", Args: through("hflip,vflip"), Patch: matrix{a: -1, d: -1, x: width, y: height}.patch},
	{Name: "turned 270", Args: through("transpose=clock"), Patch: matrix{b: -1, c: 1, y: height}.patch},
	{Name: "mirrored", Args: through("hflip"), Patch: matrix{a: -1, d: 1, x: width}.patch},
	{Name: "mirrored and turned 90", Args: through("transpose=clock_flip"), Patch: matrix{b: -1, c: -1, x: width, y: height}.patch},
	{Name: "mirrored and turned 180", Args: through("vflip"), Patch: matrix{a: 1, d: -1, y: height}.patch},
	{Name: "mirrored and turned 270", Args: through("transpose=cclock_flip"), Patch: matrix{b: 1, c: 1}.patch},
}

// trimmed are clips that were cut in the gallery, which hides pictures and leaves them in the file.
var trimmed = []Case{
	{Name: "trimmed at the start", HiddenS: [2]float64{0.4, 0}, Args: h264("-g", "999"), Patch: trim(0.4, 2.4)},
	{Name: "trimmed at the end", HiddenS: [2]float64{0, 0.4}, Args: h264(), Patch: trim(0, 2.4)},
	{Name: "trimmed at both ends", HiddenS: [2]float64{0.3, 0.3}, Args: h264(), Patch: trim(0.3, 2.4)},
	{Name: "trimmed and turned 90", HiddenS: [2]float64{0.2, 0.2}, Args: through("transpose=cclock", "-g", "999"), Patch: both(trim(0.2, 2.4), matrix{b: 1, c: -1, x: width}.patch)},
	{Name: "trimmed, HEVC", HiddenS: [2]float64{0.2, 0.2}, Args: hevc("yuv420p", ""), Patch: trim(0.2, 2.4)},
}

// hevc writes as phones do by default.
func hevc(pixels, params string, more ...string) []string {
	return slices.Concat([]string{"-c:v", "libx265", "-preset", "ultrafast", "-crf", "14", "-tag:v", "hvc1", "-pix_fmt", pixels, "-x265-params", "log-level=none" + params}, more)
}

// hdr writes high dynamic range with that transfer: reference white at 203 cd/m², as hdrToSDR
// takes it.
func hdr(transfer string) []string {
	filter := fmt.Sprintf("zscale=t=linear:npl=203,format=gbrpf32le,zscale=p=2020,zscale=t=%s:m=2020_ncl:r=tv:npl=203,format=yuv420p10le", transfer)
	params := fmt.Sprintf(":colorprim=bt2020:transfer=%s:colormatrix=bt2020nc", transfer)
	return hevc("yuv420p10le", params, "-vf", filter, "-color_primaries", "bt2020", "-color_trc", transfer, "-colorspace", "bt2020nc")
}

// coded are other codings of the picture.
var coded = []Case{
	{Name: "HEVC", Args: hevc("yuv420p", "")},
	{Name: "HEVC, 10 bit", Args: hevc("yuv420p10le", "")},
	{Name: "HLG", Args: hdr("arib-std-b67"), HDR: true},
	{Name: "PQ", Args: hdr("smpte2084"), HDR: true},
	{Name: "AV1", Args: []string{"-c:v", "libsvtav1", "-preset", "12", "-crf", "20", "-pix_fmt", "yuv420p"}},
	{Name: "VP9", Args: vp9, Ending: "webm"},
	{Name: "ProRes", Args: []string{"-c:v", "prores", "-profile:v", "0", "-pix_fmt", "yuv422p10le"}, Ending: "mov"},
	{Name: "full range", Args: through("scale=out_range=full", "-pix_fmt", "yuvj420p", "-color_range", "pc")},
	{Name: "one key picture", Args: h264("-g", "9999", "-sc_threshold", "0")},
	{Name: "open groups", Args: h264("-bf", "3", "-x264-params", "open-gop=1:keyint=20:min-keyint=20")},
	{Name: "open groups, HEVC", Args: hevc("yuv420p", ":open-gop=1:keyint=20:min-keyint=20:bframes=4")},
}

var vp9 = []string{"-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8", "-crf", "14", "-b:v", "0"}

// wrapped are other ways to put the same stream into a file; the plain one has its table of
// contents at the end.
var wrapped = []Case{
	{Name: "contents first", Args: h264("-movflags", "+faststart")},
	{Name: "fragmented", Args: h264("-movflags", "frag_keyframe+empty_moov+default_base_moof")},
	{Name: "Matroska", Args: h264(), Ending: "mkv"},
	{Name: "Matroska, turned 90", Args: through("transpose=cclock"), Patch: rolled(-90), Ending: "mkv"},
}

// mixed are files that hold more than the film.
var mixed = []Case{
	{Name: "sound first", Args: slices.Concat(sound("-map", "1:a", "-map", "0:v"), h264())},
	{Name: "sound begins before", Args: slices.Concat(sound("-map", "0:v", "-map", "1:a"), through("setpts=PTS+0.25/TB", "-fps_mode", "passthrough"))},
	{Name: "cover", Args: slices.Concat(cover, h264("-c:v:1", "png"))},
	{Name: "cover first", Args: slices.Concat(cover, h264("-c:v:1", "png")), Patch: coverFirst, Film: 1},
	{Name: "depth first", Args: two("scale=180:320", "-pix_fmt:v:0", "gray", "-disposition:v:0", "0", "-disposition:v:1", "default"), Film: 1},
	{Name: "smaller camera first", Args: two("hflip,scale=270:480", "-disposition:v:0", "default", "-disposition:v:1", "default"), Film: 1},
	{Name: "time code", Args: h264("-timecode", "10:00:00:00"), Ending: "mov"},
	{Name: "text first", Args: slices.Concat([]string{"-f", "srt", "-i", "data:text/plain,1%0A00:00:00,000 --> 00:00:02,000%0A47.1 N 8.2 E%0A", "-map", "1:s", "-map", "0:v", "-c:s", "mov_text"}, h264())},
}

// cover is a second input that is a picture, larger than the film.
var cover = []string{"-f", "lavfi", "-i", "color=red:size=1920x1080:duration=0.04", "-map", "0:v", "-map", "1:v", "-disposition:v:1", "attached_pic"}

// two writes a second film through a filter, before the film itself.
func two(filter string, more ...string) []string {
	return slices.Concat([]string{"-filter_complex", "[0:v]split[film][other];[other]" + filter + "[small]", "-map", "[small]", "-map", "[film]"},
		h264(), more)
}

// timed are other rates. Rates that pictures at 60 a second do not hold are those pictures shown
// a little more slowly, so that none is drawn anew; only 120 and 240 have pictures drawn between.
var timed = []Case{
	{Name: "a gap", Args: through("select='not(eq(mod(n,7),3))*not(between(n,112,127))'", "-fps_mode", "passthrough"), Frames: 109},
	{Name: "24 a second", Args: through("select='not(mod(n,2))',setpts=PTS*5/4", "-r", "24"), RateHz: 24, Frames: 72, Stretched: 1.25},
	{Name: "25 a second", Args: through("select='not(mod(n,2))',setpts=PTS*6/5", "-r", "25"), RateHz: 25, Frames: 72, Stretched: 1.2},
	{Name: "30 a second", Args: through("select='not(mod(n,2))'", "-r", "30"), RateHz: 30, Frames: 72},
	{Name: "50 a second", Args: through("setpts=PTS*6/5", "-r", "50"), RateHz: 50, Frames: 144, Stretched: 1.2},
	{Name: "120 a second", Args: through(between(120)), RateHz: 120, Frames: 285},
	{Name: "240 a second", Args: through(between(240), filmedAt("240.")...), RateHz: 240, Frames: 569, SaysSo: true},
	{Name: "slow motion, in letters", Args: through("setpts=PTS*2", append([]string{"-r", "30"}, filmedAt("60.0")...)...), RateHz: 30, Frames: 144, Stretched: 2, SaysSo: true},
	{Name: "slow motion, as a number", Args: through("setpts=PTS*2", append([]string{"-r", "30"}, filmedAt("60.0")...)...), Patch: captureRateAsNumber("60.0", 60), RateHz: 30, Frames: 144, Stretched: 2, SaysSo: true},
	{Name: "slow motion of 240 a second", From: "240 a second", Args: through("setpts=PTS*8", append([]string{"-r", "30"}, filmedAt("240.")...)...), Patch: captureRateAsNumber("240.", 240), RateHz: 30, Frames: 569, Stretched: 8, SaysSo: true},
}

// between draws pictures between those there are, at half the size, where it takes a quarter of the time.
func between(hz int) string {
	return fmt.Sprintf("scale=%d:%d,minterpolate=fps=%d:mi_mode=mci,scale=%d:%d", width/2, height/2, hz, width, height)
}

func filmedAt(hz string) []string {
	return []string{"-movflags", "use_metadata_tags", "-metadata", captureRate + "=" + hz}
}

// sized are other sizes and shapes of picture and pixel.
var sized = []Case{
	{Name: "4K", Args: through("scale=2160:3840", "-preset", "ultrafast"), Width: 2160, Height: 3840},
	{Name: "odd size", Args: append([]string{"-vf", "scale=539:961,setsar=1"}, vp9...), Ending: "webm", Width: 539, Height: 961},
	{Name: "odd size, full colour", Args: through("scale=539:961,setsar=1", "-pix_fmt", "yuv444p"), Width: 539, Height: 961},
	{Name: "cropped", Args: through("pad=iw+52:ih+80:32:64:red", "-bsf:v", "h264_metadata=crop_left=32:crop_right=20:crop_top=64:crop_bottom=16")},
	{Name: "wide pixels", Args: through("scale=432:960,setsar=5/4"), WidePixels: true},
	{Name: "wide pixels, turned 90", Args: through("scale=432:960,transpose=cclock,setsar=4/5"), Patch: matrix{b: 1, c: -1, x: 432}.patch, WidePixels: true},
}
