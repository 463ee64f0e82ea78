package track_test

import (
	"bytes"
	"strings"
	"testing"

	"steadfall/video"
)

// Whatever a placements file holds, it is read or refused in one plain sentence.
func FuzzReadPlacements(f *testing.F) {
	f.Add([]byte(`{"view": "front", "placements": [{"frame": 0, "points": {"left_hip": [512.0, 640.5]}}]}`))
	f.Add([]byte(`{"view": "side_left", "placements": [{"frame": -1, "points": {"left_hip": [1, 2, 0]}}]}`))
	f.Add([]byte(`{"view": "front", "placements": [{"frame": 1e400, "points": {"x": []}}]}`))
	f.Add([]byte(`[`))
	f.Fuzz(func(t *testing.T, data []byte) {
		if _, err := video.ReadPlacements(bytes.NewReader(data)); err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("more than one line: %q", err)
		}
	})
}
