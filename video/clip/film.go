//go:build cgo

package clip

/*
#cgo pkg-config: libavformat libavcodec libswscale libavutil
#cgo CFLAGS: -O3
#include <stdlib.h>
#include "libav.h"
*/
import "C"

import (
	"fmt"
	"image"
	"io"
	"math"
	"path/filepath"
	"runtime"
	"sync"
	"unsafe"
)

// The largest and smallest pictures that are read, px. Phones film up to 8K; anything beyond
// is a damaged header.
const (
	maxSide = 8192
	minSide = 64
)

// threads is how many pictures are decoded at once; each holds its own while it is.
const threads = 2

// mostRefusals is how often in a row the container's reader may fail to give a packet before
// the rest of the file is given up.
const mostRefusals = 64

var listen = sync.OnceFunc(func() { C.libav_listen() })

// Film is an open clip, read from its first picture to its last. It is for one goroutine.
type Film struct {
	Info
	shown image.Point // size of the stored picture in square pixels, turned as shown
	lies  orientation

	file       *C.AVFormatContext
	stream     *C.AVStream
	decoder    *C.AVCodecContext
	packet     *C.AVPacket
	complaints *C.libav_complaints
	frame      *C.AVFrame // as decoded
	develop    developer

	sent    int64 // packets given to the decoder
	heard   C.int // complaints of the decoder so far
	drained bool
	sought  bool // not read from the beginning on
	refused bool // the container's reader gave up
	zero    float64
	next    int // number of the next picture
	lastS   float64
	ahead   []Picture // decoded when the clip was opened: damaged ones, and the first whole one
	damage  damage
}

// Picture is one picture of a film, good until the next is asked for.
type Picture struct {
	Frame   int     // its number, from 0 in the order shown
	TimeS   float64 // when it is shown, s after the first
	Damaged bool    // it is not whole, and must not be measured
	film    *Film
	frame   *C.AVFrame // nil of a damaged picture before the first whole one
}

// Keep is the picture for longer, until it is closed; the film must be open all the while.
func (p Picture) Keep() Picture {
	if p.frame != nil {
		p.frame = C.av_frame_clone(p.frame)
	}
	return p
}

// Close lets a kept picture go.
func (p Picture) Close() { C.av_frame_free(&p.frame) }

// Open opens a local file. Only mp4, mov, mkv and webm are taken, told by their first bytes,
// and only this one file is read, so that no playlist or protocol can lead elsewhere. Close
// the film after use.
func Open(path string) (*Film, error) {
	listen()
	container, err := Sniff(path)
	if err != nil {
		return nil, err
	}
	f := &Film{Info: Info{Path: path, Container: container}, lastS: math.Inf(-1), damage: damage{wholeS: math.Inf(-1)}}
	if err := f.open(); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

func (f *Film) refuse(format string, args ...any) error {
	return &Error{f.Path, fmt.Sprintf(format, args...)}
}

// unreadable is said where FFmpeg gives no reason that would help.
const unreadable = "cannot be read as video: it is damaged, cut off, or in a format this build does not decode; copy it from the phone again"

func (f *Film) open() error {
	abs, err := filepath.Abs(f.Path)
	if err != nil {
		return f.refuse("has no full name on this machine; name it with its folder")
	}
	f.complaints = (*C.libav_complaints)(C.calloc(1, C.sizeof_libav_complaints))
	f.file = C.avformat_alloc_context()
	f.file.opaque = unsafe.Pointer(f.complaints)
	name, kind := C.CString("file:"+abs), C.CString(map[bool]string{true: "mov", false: "matroska"}[f.isMovie()])
	defer C.free(unsafe.Pointer(name))
	defer C.free(unsafe.Pointer(kind))
	var options *C.AVDictionary
	defer C.av_dict_free(&options)
	put(&options, "protocol_whitelist", "file")
	if C.avformat_open_input(&f.file, name, C.av_find_input_format(kind), &options) < 0 {
		return f.refuse(unreadable)
	}
	if C.avformat_find_stream_info(f.file, nil) < 0 {
		return f.refuse(unreadable)
	}
	if err := f.choose(); err != nil {
		return err
	}
	if err := f.startDecoder(); err != nil {
		return err
	}
	return f.first()
}

// isMovie tells mp4 and mov, which are one family, from mkv and webm, which are another.
func (f *Film) isMovie() bool { return f.Container == "mp4" || f.Container == "mov" }

func put(options **C.AVDictionary, key, value string) {
	k, v := C.CString(key), C.CString(value)
	defer C.free(unsafe.Pointer(k))
	defer C.free(unsafe.Pointer(v))
	C.av_dict_set(options, k, v, 0)
}

// choose picks the stream that is the film, and leaves the others unread.
func (f *Film) choose() error {
	streams := unsafe.Slice(f.file.streams, f.file.nb_streams)
	var all []stream
	for i, s := range streams {
		s.discard = C.AVDISCARD_ALL
		if s.codecpar.codec_type != C.AVMEDIA_TYPE_VIDEO {
			continue
		}
		format := C.av_pix_fmt_desc_get(int32(s.codecpar.format))
		all = append(all, stream{
			index:  i,
			pixels: int(s.codecpar.width) * int(s.codecpar.height),
			cover:  s.disposition&(C.AV_DISPOSITION_ATTACHED_PIC|C.AV_DISPOSITION_TIMED_THUMBNAILS) != 0,
			shown:  s.disposition&C.AV_DISPOSITION_DEFAULT != 0,
			grey:   format != nil && format.nb_components < 3 && format.flags&C.AV_PIX_FMT_FLAG_PAL == 0,
			single: s.nb_frames == 1,
		})
	}
	i := film(all)
	if i < 0 {
		return f.refuse("holds no picture, only sound; pick the video")
	}
	f.stream = streams[i]
	f.stream.discard = C.AVDISCARD_DEFAULT
	return nil
}

func (f *Film) startDecoder() error {
	p := f.stream.codecpar
	f.Codec = C.GoString(C.avcodec_get_name(p.codec_id))
	codec := C.avcodec_find_decoder(p.codec_id)
	if codec == nil {
		return f.refuse("is coded as %s, which this build does not decode; film in H.264 or HEVC", f.Codec)
	}
	f.decoder = C.avcodec_alloc_context3(codec)
	if C.avcodec_parameters_to_context(f.decoder, p) < 0 {
		return f.refuse(unreadable)
	}
	f.decoder.opaque = unsafe.Pointer(f.complaints)
	f.decoder.thread_count = C.int(min(threads, runtime.NumCPU()))
	f.decoder.pkt_timebase = f.stream.time_base
	f.decoder.max_pixels = maxSide * maxSide
	f.decoder.flags |= C.AV_CODEC_FLAG_UNALIGNED // crop to the very pixel
	if C.avcodec_open2(f.decoder, codec, nil) < 0 {
		return f.refuse(unreadable)
	}
	f.packet, f.frame = C.av_packet_alloc(), C.av_frame_alloc()
	return nil
}

// first decodes to the first whole picture, which says how large the clip is and in which colours.
// Damaged pictures before it are pictures of the clip all the same: the others keep their numbers
// and times.
func (f *Film) first() error {
	for {
		p, err := f.decode()
		if err == io.EOF {
			return f.refuse(unreadable)
		}
		if err != nil {
			return err
		}
		if !p.Damaged {
			f.ahead = append(f.ahead, p)
			break
		}
		p.frame = nil // the next one is decoded into it
		f.ahead = append(f.ahead, p)
	}
	if err := f.describe(); err != nil {
		return err
	}
	f.zero = f.ahead[0].TimeS
	for i := range f.ahead {
		f.ahead[i].TimeS -= f.zero
	}
	f.lastS -= f.zero
	f.damage.wholeS = f.lastS
	if f.lastS > 0 {
		f.damage.losses = append(f.damage.losses, Loss{FromS: 0, ToS: f.lastS})
	}
	return nil
}

// describe fills in what is known of the clip once a picture of it is decoded.
func (f *Film) describe() error {
	stored := image.Pt(int(f.frame.width), int(f.frame.height))
	ratio := C.av_guess_sample_aspect_ratio(f.file, f.stream, f.frame)
	var size C.size_t
	if m := C.av_stream_get_side_data(f.stream, C.AV_PKT_DATA_DISPLAYMATRIX, &size); m != nil && size >= 36 {
		f.lies = displayed(*(*[9]int32)(unsafe.Pointer(m)))
	}
	square := image.Pt(squared(stored.X, int(ratio.num), int(ratio.den)), stored.Y)
	if f.lies.across { // what is shown as the width is made to fit, as players do
		square = image.Pt(stored.X, squared(stored.Y, int(ratio.den), int(ratio.num)))
	}
	f.shown = f.lies.size(square)
	f.Width, f.Height = f.shown.X, f.shown.Y
	f.RotationDeg, f.Mirrored = f.lies.turn()
	f.NominalFPS = rate(f.stream.avg_frame_rate)
	tags := append(tagsOf(f.file.metadata), tagsOf(f.stream.metadata)...)
	f.CaptureFPS, f.FrontCamera = captureFPS(tags, f.NominalFPS), frontCamera(tags)
	f.Frames = int(f.stream.nb_frames)
	if d := float64(f.stream.duration) * rate(f.stream.time_base); d > 0 && f.stream.duration != C.libav_no_time {
		f.Frames = int(math.Round(d * f.NominalFPS)) // fewer than are counted where the clip was trimmed
	}
	f.HDR = map[uint32]string{C.AVCOL_TRC_ARIB_STD_B67: "HLG", C.AVCOL_TRC_SMPTE2084: "PQ"}[f.frame.color_trc]
	switch w, h := max(f.Width, stored.X), max(f.Height, stored.Y); {
	case w > maxSide || h > maxSide:
		return f.refuse("says its picture is %d × %d pixels, more than any phone films (%d); the file is damaged, copy it from the phone again", f.Width, f.Height, maxSide)
	case f.Width < minSide || f.Height < minSide:
		return f.refuse("has a picture of %d × %d pixels, too small to see a person in; film at 1080p", f.Width, f.Height)
	}
	return f.develop.prepare(f.frame, square, f.HDR)
}

func rate(r C.AVRational) float64 {
	if r.den == 0 {
		return 0
	}
	return float64(r.num) / float64(r.den)
}

func tagsOf(all *C.AVDictionary) []tag {
	var out []tag
	for e := C.libav_tag(all, nil); e != nil; e = C.libav_tag(all, e) {
		out = append(out, tag{C.GoString(e.key), C.GoString(e.value)})
	}
	return out
}

// Close frees the decoder and its pictures.
func (f *Film) Close() {
	f.develop.close()
	C.av_frame_free(&f.frame)
	C.av_packet_free(&f.packet)
	C.avcodec_free_context(&f.decoder)
	C.avformat_close_input(&f.file)
	C.free(unsafe.Pointer(f.complaints))
	f.complaints = nil
}

// Losses are the damaged stretches that have been read so far; all of them after io.EOF.
func (f *Film) Losses() []Loss { return f.damage.losses }

// Next is the next picture, io.EOF after the last.
func (f *Film) Next() (Picture, error) {
	if len(f.ahead) > 0 {
		p := f.ahead[0]
		f.ahead = f.ahead[1:]
		return p, nil
	}
	p, err := f.decode()
	if err == io.EOF {
		f.damage.end(f.lastS, f.cutOff())
	}
	return p, err
}

// Seek goes to before a time, s, where no more than reading on would have to be decoded for
// it, and reports whether it did. The time of the picture that is read next then says where
// that is: pictures are no longer counted from the beginning.
func (f *Film) Seek(timeS float64) bool {
	unit := rate(f.stream.time_base)
	at := C.int64_t(math.Round((timeS + f.zero) / unit))
	if key := C.avformat_index_get_entry_from_timestamp(f.stream, at, C.AVSEEK_FLAG_BACKWARD); key != nil && float64(key.timestamp)*unit-f.zero <= f.lastS {
		return false
	}
	C.av_seek_frame(f.file, f.stream.index, at, C.AVSEEK_FLAG_BACKWARD) // where it fails, reading goes on from here
	C.avcodec_flush_buffers(f.decoder)
	f.ahead, f.drained, f.sought, f.lastS = nil, false, true, math.Inf(-1)
	f.damage = damage{wholeS: math.Inf(-1)}
	return true
}

// cutOff reports whether the file ends before its film does: its table names packets that are
// not there, or its structure breaks off.
func (f *Film) cutOff() bool {
	if f.sought {
		return false
	}
	if f.isMovie() {
		return f.refused || f.sent < int64(C.avformat_index_get_entries_count(f.stream))
	}
	return f.refused || C.libav_container_complaints(f.complaints) > 0
}

// decode is the next picture of the decoder that has a time.
func (f *Film) decode() (Picture, error) {
	for {
		e := C.avcodec_receive_frame(f.decoder, f.frame)
		f.hear()
		switch {
		case e >= 0:
			p, err := f.judge()
			if err != nil || p.film != nil {
				return p, err
			}
		case e == C.libav_again && !f.drained:
			f.feed()
		case e == C.libav_again || e == C.libav_end:
			return Picture{}, io.EOF
		default:
			f.damage.seen(f.sent)
		}
	}
}

// judge makes a picture of what was decoded, or none where it has no time or place.
func (f *Film) judge() (Picture, error) {
	p := Picture{Frame: f.next, TimeS: f.timeOf(f.frame) - f.zero, film: f, frame: f.frame}
	p.Damaged = f.damage.doubts(int64(f.frame.reordered_opaque), f.frame.key_frame != 0, p.TimeS)
	if f.frame.flags&C.AV_FRAME_FLAG_CORRUPT != 0 || f.frame.decode_error_flags != 0 || !f.develop.fits(f.frame) {
		f.damage.seen(f.sent)
		p.Damaged = true
	}
	if math.IsNaN(p.TimeS) || p.TimeS <= f.lastS {
		if p.Damaged {
			return Picture{}, nil
		}
		if math.IsNaN(p.TimeS) {
			return Picture{}, f.refuse("does not say when frame %d is shown; without true times nothing can be measured, so export the clip again without editing it", f.next)
		}
		return Picture{}, f.refuse("gives frame %d the time %.3f s, not after the frame before it; without true times nothing can be measured, so export the clip again without editing it", f.next, p.TimeS)
	}
	f.next, f.lastS = f.next+1, p.TimeS
	return p, nil
}

// timeOf is when a frame is shown, s by the container; NaN where it does not say.
func (f *Film) timeOf(frame *C.AVFrame) float64 {
	if frame.best_effort_timestamp == C.libav_no_time {
		return math.NaN()
	}
	return float64(frame.best_effort_timestamp) * rate(f.stream.time_base)
}

// feed gives the decoder the next packet of the film, or tells it that there is none.
func (f *Film) feed() {
	for refusals := 0; ; {
		e := C.av_read_frame(f.file, f.packet)
		if e < 0 {
			if refusals++; e != C.libav_end && refusals < mostRefusals {
				f.damage.seen(f.sent)
				continue
			}
			f.refused = e != C.libav_end
			f.drained = true
			C.avcodec_send_packet(f.decoder, nil)
			return
		}
		mine := f.packet.stream_index == f.stream.index
		if mine {
			f.sent++
			f.decoder.reordered_opaque = C.int64_t(f.sent)
			if f.packet.flags&C.AV_PKT_FLAG_CORRUPT != 0 || C.avcodec_send_packet(f.decoder, f.packet) < 0 {
				f.damage.seen(f.sent)
			}
			f.hear()
		}
		C.av_packet_unref(f.packet)
		if mine {
			return
		}
	}
}

// hear notes what the decoder has complained of.
func (f *Film) hear() {
	if n := C.libav_decoder_complaints(f.complaints); n != f.heard {
		f.heard = n
		f.damage.seen(f.sent)
	}
}
