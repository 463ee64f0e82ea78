package clip

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"io/fs"
	"os"
)

// Sniff tells the container by the file's first bytes and refuses everything
// that is not one of the four the tool reads.
func Sniff(path string) (string, error) {
	refuse := func(reason string) (string, error) { return "", &Error{path, reason} }
	st, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return refuse("does not exist; check the name and the folder")
	case errors.Is(err, fs.ErrPermission):
		return refuse("may not be read by you; change its permissions")
	case err != nil:
		return refuse("cannot be opened; check the name and the folder")
	case st.IsDir():
		return refuse("is a folder; name the clip inside it")
	case !st.Mode().IsRegular():
		return refuse("is not an ordinary file; name a clip saved on this machine")
	case st.Size() == 0:
		return refuse("is empty (0 bytes); copy it from the phone again")
	}
	f, err := os.Open(path)
	if err != nil {
		return refuse("may not be read by you; change its permissions")
	}
	defer f.Close()
	head := make([]byte, 64)
	n, _ := io.ReadFull(f, head)
	head = head[:n]
	const notVideo = "is not a video this tool reads (mp4, mov, mkv or webm); pick the clip as the phone saved it"
	if n < 12 {
		return refuse(notVideo)
	}
	if bytes.HasPrefix(head, []byte{0x1a, 0x45, 0xdf, 0xa3}) {
		if bytes.Contains(head, []byte("webm")) {
			return "webm", nil
		}
		return "mkv", nil
	}
	container := "mp4"
	switch string(head[4:8]) {
	case "ftyp":
		if string(head[8:12]) == "qt  " {
			container = "mov"
		}
	case "moov", "mdat", "wide", "free", "skip":
		container = "mov" // films older than the ftyp box
	default:
		return refuse(notVideo)
	}
	return container, checkMovie(f, st.Size(), path)
}

// checkMovie walks the boxes of an mp4 or mov file (ISO/IEC 14496-12 §4.2) as
// far as needed to say in plain words what OpenCV would only call an error.
func checkMovie(f io.ReadSeeker, size int64, path string) error {
	moov, cut := findBox(f, 0, size, "moov")
	if moov == nil {
		if cut {
			return &Error{path, "is cut off: its table of contents is missing; copy it from the phone again"}
		}
		return &Error{path, "holds no film: its table of contents is missing; copy it from the phone again"}
	}
	body := make([]byte, min(moov.end-moov.start, 64<<20))
	if _, err := f.Seek(moov.start, io.SeekStart); err != nil {
		return &Error{path, "cannot be read; copy it from the phone again"}
	}
	if _, err := io.ReadFull(f, body); err != nil {
		return &Error{path, "is cut off in its table of contents; copy it from the phone again"}
	}
	// A picture track has the handler "vide" (14496-12 §8.4.3).
	for at := 0; ; {
		i := bytes.Index(body[at:], []byte("hdlr"))
		if i < 0 {
			return &Error{path, "holds no picture, only sound; pick the video"}
		}
		if at += i; len(body) >= at+16 && string(body[at+12:at+16]) == "vide" {
			return nil
		}
		at += 4
	}
}

type box struct{ start, end int64 } // of the content

// findBox returns the first top-level box of that type, or nil; cut says that
// the last box runs past the end of the file.
func findBox(f io.ReadSeeker, at, size int64, want string) (found *box, cut bool) {
	for at+8 <= size {
		var h [16]byte
		if _, err := f.Seek(at, io.SeekStart); err != nil {
			return nil, true
		}
		n, _ := io.ReadFull(f, h[:])
		if n < 8 {
			return nil, true
		}
		length, head := int64(binary.BigEndian.Uint32(h[:4])), int64(8)
		if length == 1 && n == 16 {
			length, head = int64(binary.BigEndian.Uint64(h[8:])), 16
		}
		if length == 0 {
			length = size - at
		}
		if length < head || at+length > size || at+length < at {
			return nil, true
		}
		if string(h[4:8]) == want {
			return &box{at + head, at + length}, false
		}
		at += length
	}
	return nil, at < size
}
