//go:build cgo

package video

// ReadsClips tells whether this program was built with what reads clips.
const ReadsClips = true
