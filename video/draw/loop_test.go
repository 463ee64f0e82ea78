package draw_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"gocv.io/x/gocv"

	"steadfall/video/draw"
)

// A preview loop holds every picture, is H.264, and gets smaller in both directions until it
// fits; noise is what fits worst. Checked by reading it back.
func TestPreviewLoop(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	img := image.NewGray(image.Rect(0, 0, 160, 320))
	var pictures [][]byte
	for range 20 {
		for i := range img.Pix {
			img.SetGray(i%160, i/160, color.Gray{Y: uint8(rng.IntN(256))})
		}
		var b bytes.Buffer
		if err := jpeg.Encode(&b, img, nil); err != nil {
			t.Fatal(err)
		}
		pictures = append(pictures, b.Bytes())
	}
	free, err := draw.PreviewLoop(pictures, 15, 10<<20)
	if err != nil {
		t.Fatal(err)
	}
	limit := len(free) / 2
	small, err := draw.PreviewLoop(pictures, 15, limit)
	if err != nil || len(small) > limit {
		t.Fatalf("%d bytes of at most %d: %v", len(small), limit, err)
	}
	for _, c := range []struct {
		data  []byte
		width float64
	}{{free, 160}, {small, 120}} {
		name := filepath.Join(t.TempDir(), "loop.mp4")
		if err := os.WriteFile(name, c.data, 0o600); err != nil {
			t.Fatal(err)
		}
		v, err := gocv.OpenVideoCaptureWithAPI(name, gocv.VideoCaptureFFmpeg)
		if err != nil {
			t.Fatal(err)
		}
		if n, w, codec := v.Get(gocv.VideoCaptureFrameCount), v.Get(gocv.VideoCaptureFrameWidth), v.CodecString(); n != 20 || w > c.width || codec != "h264" && codec != "avc1" {
			t.Errorf("%.0f pictures, %.0f wide, %q", n, w, codec)
		}
		v.Close()
	}
	if _, err := draw.PreviewLoop(pictures, 15, 100); err == nil {
		t.Error("a clip of 100 bytes was made")
	}
}
