//go:build matprofile

package video

import (
	"testing"

	"steadfall/video/mat"
)

func TestMain(m *testing.M) { mat.HeldAfter(m) }
