// Package clips holds the rendered clips: the demo scores them from the binary.
package clips

import "embed"

// Files are the clips.
//
//go:embed *.mp4
var Files embed.FS
