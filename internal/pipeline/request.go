package pipeline

import (
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/scoring"
	"steadfall/video"
	"steadfall/video/clip"
)

// Request is one clip or pair of clips to be scored.
type Request struct {
	Front, Side Source
	Points      Points
	Landing     int // which landing of the clips, from 1; 0 for all
	Task        kinematics.Task
	Limb        kinematics.Side
	Checklist   string // bundled name or file; "" picks by the feet that landed
	StatureCM   float64
	MassKG      float64
	AgeYears    float64 // 0: not known
	BoxCM       float64 // height of the box; 0: not known
	CaptureFPS  float64
	Picture     [2]int                              // width and height of the pictures that track files were made from; 0: not known
	SquareDeg   float64                             // how squarely the front camera was set, one sd; 0: not known
	Tool        string                              // name and version, for the result
	Tell        func(stage string, done, total int) `json:"-"`
}

// ReadsClips reports whether the request has a clip to be read.
func (r Request) ReadsClips() bool { return r.Front.Clip != "" || r.Side.Clip != "" }

// Check finds what can be known to be wrong before any clip is read: a checklist that is not
// good, a file that is no clip.
func (r Request) Check() error {
	if r.Checklist != "" {
		if _, err := LoadChecklist(r.Checklist); err != nil {
			return err
		}
	}
	for _, s := range []Source{r.Front, r.Side} {
		if s.Clip == "" {
			continue
		}
		if _, err := clip.Sniff(s.Clip); err != nil {
			return err
		}
	}
	return nil
}

// Outcome is a scored landing.
type Outcome struct {
	Result    scoring.Result
	Checklist scoring.Checklist // that scored it
	Views     []View            // what each view was measured from
	Pictures  []report.Picture
	Reels     []Reel // looping clips that are still to be made
}

// Reel is the frames of a looping clip, as JPEG.
type Reel struct {
	Picture report.Picture // all but its data
	Frames  [][]byte
}

// options are those of a view. What the user says of the rate wins over what the phone says.
func (r Request) options(s Source, p placed) kinematics.Options {
	if s.Track != nil && s.Track.File == "" {
		return s.Track.View.Options
	}
	rate := r.CaptureFPS
	if rate == 0 {
		rate = p.rate
	}
	return kinematics.Options{
		Task: r.Task, Limb: r.Limb, StatureCM: r.StatureCM, Length: s.Length, CaptureFPS: rate, Mirrored: r.Points.Mirrored,
		Plumb: s.Plumb, BoxCM: r.BoxCM, SquareDeg: r.SquareDeg, Seed: 1,
	}
}

func (r Request) progress(stage string) video.Progress {
	if r.Tell == nil {
		return nil
	}
	return func(done, total int) { r.Tell(stage, done, total) }
}

// checklist is the one asked for, or the one for that many feet.
func (r Request) checklist(feet int) (scoring.Checklist, error) {
	if r.Checklist == "" {
		return scoring.Load(scoring.Default(feet))
	}
	return LoadChecklist(r.Checklist)
}
