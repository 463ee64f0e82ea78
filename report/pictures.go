package report

import (
	"math"

	"steadfall/kinematics"
	"steadfall/report/locale"
	"steadfall/scoring"
)

// Picture is one still of a clip, or what was made of several of its frames.
type Picture struct {
	View    kinematics.View
	Moment  string // "contact", "deepest" or "hold", or Strip, Path or Loop
	Frame   int    // the first that is shown
	TimeS   float64
	Data    []byte // JPEG; of a Loop MP4
	Caption string
}

// What is made of several frames: pictures side by side, the ways of hips and knees on one
// picture, and a looping clip.
const (
	Strip = "strip"
	Path  = "path"
	Loop  = "loop"
)

// Album is the pictures of one view of a trial.
type Album struct {
	View              string
	Stills            []Still
	Strip, Path, Loop *Picture
	kind              kinematics.View
}

// Still is one picture with the name by which the page links to it.
type Still struct {
	Picture
	Anchor string
}

// Albums sorts the pictures of a trial by view, in the order of the views. Anchors begin
// with the prefix.
func Albums(loc locale.Locale, prefix string, views []scoring.ViewResult, all []Picture) (out []Album) {
	for _, w := range views {
		a := Album{View: loc.View(w.View), kind: w.View}
		for i, p := range all {
			switch {
			case p.View != w.View:
			case p.Moment == Strip:
				a.Strip = &all[i]
			case p.Moment == Path:
				a.Path = &all[i]
			case p.Moment == Loop:
				a.Loop = &all[i]
			default:
				a.Stills = append(a.Stills, Still{p, prefix + string(p.View) + "-" + p.Moment})
			}
		}
		if len(a.Stills) > 0 {
			out = append(out, a)
		}
	}
	return out
}

// nearestStill is the anchor of the picture of a finding's view that is nearest to its frame.
func nearestStill(f scoring.Finding, all []Album) (anchor string) {
	if f.Frame == nil {
		return ""
	}
	nearest := math.Inf(1)
	for _, a := range all {
		for _, p := range a.Stills {
			if away := math.Abs(float64(p.Frame - *f.Frame)); a.kind == f.View && away < nearest {
				anchor, nearest = p.Anchor, away
			}
		}
	}
	return anchor
}
