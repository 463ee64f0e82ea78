package intake

import (
	"steadfall/internal/archive"
	"steadfall/internal/pipeline"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// File is what is kept of the file that a view was measured from.
type File struct {
	Hash string // of its content
	Clip string // to keep a copy of; empty for none
}

// Recording puts an outcome into the archive's form; files are those of its views, in their order.
func Recording(t archive.Trial, o pipeline.Outcome, files []File) archive.Recording {
	rec := archive.Recording{Trial: t, Result: o.Result, Checklist: o.Checklist}
	for i, v := range o.Views {
		rec.Views = append(rec.Views, archive.View{Hash: files[i].Hash, Clip: files[i].Clip, Points: v.Points, Track: v.Track, Options: v.Options})
	}
	for _, p := range o.Pictures {
		rec.Pictures = append(rec.Pictures, archive.Picture(p))
	}
	return rec
}

// About puts into a request what is known of an athlete on a day.
func About(r pipeline.Request, p archive.Athlete, date string) pipeline.Request {
	r.StatureCM, r.MassKG, r.AgeYears = p.HeightCM, p.MassKG, p.AgeYears(date)
	return r
}

// NameClips calls the clips of a result by their views: the file of an upload has no name of its
// own, nor has a kept one.
func NameClips(r scoring.Result) {
	for i := range r.Views {
		r.Views[i].Clip = "the clip from the front"
		if r.Views[i].View != kinematics.Front {
			r.Views[i].Clip = "the clip from the side"
		}
	}
}
