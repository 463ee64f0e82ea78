//go:build matprofile

package flow

import (
	"testing"

	"steadfall/video/mat"
)

func TestMain(m *testing.M) { mat.HeldAfter(m) }
