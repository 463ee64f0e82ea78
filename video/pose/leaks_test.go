//go:build matprofile

package pose

import (
	"testing"

	"steadfall/video/mat"
)

func TestMain(m *testing.M) { mat.HeldAfter(m) }
