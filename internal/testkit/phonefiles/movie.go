package phonefiles

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
)

// box returns what the first box with that path holds (ISO/IEC 14496-12 §4.2).
func box(data []byte, path ...string) ([]byte, error) {
	for at := 0; at+8 <= len(data); {
		size, head := int(binary.BigEndian.Uint32(data[at:])), 8
		if size == 1 && at+16 <= len(data) {
			size, head = int(binary.BigEndian.Uint64(data[at+8:])), 16
		}
		if size < head || size > len(data)-at {
			break
		}
		if string(data[at+4:at+8]) != path[0] {
			at += size
			continue
		}
		inside := data[at+head : at+size]
		if len(path) == 1 {
			return inside, nil
		}
		return box(inside, path[1:]...)
	}
	return nil, fmt.Errorf("the file has no box %q", path[0])
}

// matrix turns, mirrors and moves the picture of the first track when it is shown: a pixel p, q
// right of and below the corner comes to a·p + c·q + x, b·p + d·q + y (§8.3.2, §6.2.2).
type matrix struct{ a, b, c, d, x, y int32 }

func (m matrix) patch(data []byte) error {
	tkhd, err := box(data, "moov", "trak", "tkhd")
	if err != nil {
		return err
	}
	for i, v := range []int32{m.a, m.b, 0, m.c, m.d, 0, m.x, m.y} { // 16.16 fixed; the ninth stays
		binary.BigEndian.PutUint32(tkhd[40+4*i:], uint32(v<<16))
	}
	return nil
}

// trim hides what lies before and after the film by the edit list of the first track (§8.6.6).
func trim(beforeS, shownS float64) func([]byte) error {
	return func(data []byte) error {
		var in [4][]byte
		for i, path := range [][]string{
			{"moov", "mvhd"}, {"moov", "trak", "tkhd"}, {"moov", "trak", "mdia", "mdhd"}, {"moov", "trak", "edts", "elst"},
		} {
			var err error
			if in[i], err = box(data, path...); err != nil {
				return err
			}
		}
		mvhd, tkhd, mdhd, elst := in[0], in[1], in[2], in[3]
		be := binary.BigEndian
		lasts := uint32(math.Round(shownS * float64(be.Uint32(mvhd[12:]))))
		hidden := uint32(math.Round(beforeS * float64(be.Uint32(mdhd[12:]))))
		be.PutUint32(mvhd[16:], lasts)
		be.PutUint32(tkhd[20:], lasts)
		be.PutUint32(elst[8:], lasts)
		be.PutUint32(elst[12:], be.Uint32(elst[12:])+hidden)
		return nil
	}
}

// both does one patch after the other.
func both(first, second func([]byte) error) func([]byte) error {
	return func(data []byte) error {
		if err := first(data); err != nil {
			return err
		}
		return second(data)
	}
}

// coverFirst moves the box of descriptions, which holds the cover picture, before the tracks.
func coverFirst(data []byte) error {
	moov, err := box(data, "moov")
	if err != nil {
		return err
	}
	udta, err := box(moov, "udta")
	if err != nil {
		return err
	}
	if &udta[len(udta)-1] != &moov[len(moov)-1] {
		return fmt.Errorf("the descriptions are not the last of the film's boxes")
	}
	rest := len(moov) - len(udta) - 8
	copy(moov, append(bytes.Clone(moov[rest:]), moov[:rest]...))
	return nil
}

// captureRate is the key under which phones keep how fast they filmed.
const captureRate = "com.android.capture.fps"

// captureRateAsNumber turns its value from four letters, as ffmpeg writes it, into a big-endian
// 32-bit float, as phones do: the well-known types 1 and 23 of Apple's QuickTime File Format
// ("Metadata", from memory).
func captureRateAsNumber(letters string, hz float32) func([]byte) error {
	return func(data []byte) error {
		text := append([]byte("data\x00\x00\x00\x01\x00\x00\x00\x00"), letters...)
		at := bytes.Index(data, text)
		if len(letters) != 4 || at < 0 {
			return fmt.Errorf("the file does not say %s %q", captureRate, letters)
		}
		data[at+7] = 23
		binary.BigEndian.PutUint32(data[at+12:], math.Float32bits(hz))
		return nil
	}
}

// rolled turns the picture of a Matroska file counterclockwise (ProjectionPoseRoll, RFC 9559
// §5.1.4.1.28.46). What is said there of its colour makes room; the film itself says it too.
func rolled(deg float32) func([]byte) error {
	return func(data []byte) error {
		colour := []byte{0x55, 0xb0, 0x80 | 24}
		at := bytes.Index(data, colour)
		if at < 0 {
			return fmt.Errorf("the file does not say its colours in 24 bytes")
		}
		room := data[at : at+27]
		n := copy(room, []byte{0x76, 0x70, 0x80 | 11, 0x76, 0x71, 0x81, 0, 0x76, 0x75, 0x84})
		binary.BigEndian.PutUint32(room[n:], math.Float32bits(deg))
		clear(room[copy(room[n+4:], []byte{0xec, 0x80 | 11})+n+4:]) // nothing
		return nil
	}
}
