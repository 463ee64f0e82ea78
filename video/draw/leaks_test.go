//go:build matprofile

package draw

import (
	"testing"

	"steadfall/video/mat"
)

func TestMain(m *testing.M) { mat.HeldAfter(m) }
