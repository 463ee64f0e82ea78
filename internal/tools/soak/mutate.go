package main

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
)

// boxes are the parts of mp4 and mov files whose numbers a reader trusts (ISO/IEC 14496-12).
var boxes = []string{"ftyp", "moov", "mvhd", "tkhd", "mdhd", "hdlr", "stsd", "avc1", "avcC", "stts", "ctts", "stss", "stsc", "stsz", "stco", "elst", "moof", "tfhd", "trun"}

// extremes are numbers that readers are not made for.
var extremes = []uint32{0, 1, 0x7f, 0xff, 0x7fff, 0xffff, 0x10000, 0x7fffffff, 0x80000000, 0xfffffffe, 0xffffffff}

// mutated is a clip damaged in one to four ways; another is a second clip to take pieces of.
func mutated(rng *rand.Rand, clip, another []byte) []byte {
	out := bytes.Clone(clip)
	for range 1 + rng.IntN(4) {
		if len(out) < 64 {
			break
		}
		out = damaged(rng, out, another)
	}
	return out
}

func damaged(rng *rand.Rand, b, another []byte) []byte {
	// The first kilobytes and the last hold tables; what lies between is pictures.
	at := rng.IntN(len(b))
	if rng.IntN(2) == 0 {
		at = rng.IntN(min(len(b), 8<<10))
		if rng.IntN(2) == 0 {
			at = len(b) - 1 - at
		}
	}
	size := min(1+rng.IntN(1<<rng.IntN(16)), len(b)-at)
	switch rng.IntN(8) {
	case 0: // bits that flipped
		for range 1 + rng.IntN(64) {
			b[rng.IntN(len(b))] ^= 1 << rng.IntN(8)
		}
	case 1: // a run of noise
		for i := range b[at : at+size] {
			b[at+i] = byte(rng.Uint32())
		}
	case 2: // an extreme number anywhere
		if at+4 <= len(b) {
			binary.BigEndian.PutUint32(b[at:], extremes[rng.IntN(len(extremes))])
		}
	case 3: // an extreme number in a table
		if i := bytes.Index(b, []byte(boxes[rng.IntN(len(boxes))])); i >= 0 {
			if to := i + 4 + rng.IntN(64); to+4 <= len(b) {
				binary.BigEndian.PutUint32(b[to:], extremes[rng.IntN(len(extremes))])
			}
		}
	case 4: // cut off
		b = b[:at+1]
	case 5: // a piece missing
		b = append(b[:at], b[at+size:]...)
	case 6: // a piece twice
		b = append(bytes.Clone(b[:at+size]), b[at:]...)
	case 7: // a piece of another clip
		from := rng.IntN(len(another))
		copy(b[at:at+size], another[from:])
	}
	return b
}
