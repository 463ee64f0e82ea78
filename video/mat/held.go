//go:build matprofile

package mat

import (
	"fmt"
	"os"
	"testing"

	"gocv.io/x/gocv"
)

// HeldAfter runs a package's tests and exits as they say, or fails when a picture of OpenCV's, which
// Go's memory does not know of, is still held after them, and says where it was made.
func HeldAfter(m *testing.M) {
	code := m.Run()
	left := gocv.MatProfile.Count()
	fmt.Printf("pictures still held after the tests: %d\n", left)
	if left > 0 {
		_ = gocv.MatProfile.WriteTo(os.Stdout, 1) // the count has said what matters
		code = 1
	}
	os.Exit(code)
}
