package pipeline

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"steadfall/internal/models"
	"steadfall/internal/notes"
	"steadfall/kinematics"
	"steadfall/video"
)

// ByHand as the placer leaves the nets out: only placed points are followed.
const ByHand = "none"

// Placers are the ways to place points, the default first.
var Placers = []string{string(models.Full), string(models.Lite), string(models.Heavy), ByHand}

// Points says how points are placed.
type Points struct {
	Placer   string // one of Placers; "" for the default
	Person   int    // which person lands, from 1 at the left of the picture; 0 to find out
	Mirrored bool   // the clips are mirror images (selfie camera)
	AsGiven  bool   // take the views as they are given, whatever is seen
}

// placed is a track and where its points come from.
type placed struct {
	track kinematics.Track
	how   string            // in words
	notes []kinematics.Note // what the reader should know
	rate  float64           // how fast the phone says it filmed, where the clip plays slower; else 0
	feet  float64           // share of the pictures on which a foot was outside of them
	bare  bool              // the net saw no hip or no ankle on any picture
	lost  []kinematics.Note // what of the clip is damaged
}

// explain says why nothing was found in a file: more plainly where the legs were not seen, and
// with what of it is damaged.
func (p placed) explain(file string, err error) error {
	switch {
	case p.bare:
		err = notes.Refuse(notes.LegsOutside, "")
	case p.feet > feetOutMost:
		err = notes.Refuse(notes.FeetOutside, "")
	case len(p.lost) > 0:
		return notes.In(file, err, p.lost[0])
	}
	return notes.In(file, err)
}

// feetOutMost is the share of pictures on which the feet may be out of the picture.
const feetOutMost = 0.3

// Nets loads the nets of a placer, for ONNX Runtime or, where it is not on this machine, for OpenCV.
func Nets(placer string) (video.Nets, error) {
	library, err := models.Runtime()
	if err != nil && !errors.Is(err, models.ErrNoRuntime) {
		return video.Nets{}, err
	}
	detector, err := models.Load(models.Detector, library == "")
	if err != nil {
		return video.Nets{}, err
	}
	landmarks, err := models.Load(models.Net(placer), library == "")
	if err != nil {
		return video.Nets{}, err
	}
	return video.Nets{Detector: detector, Landmarks: landmarks, LandmarkOutputs: models.Outputs(models.Net(placer)), Runtime: library}, nil
}

// Sideways is either side view.
const Sideways = kinematics.Sideways

// Place places the points of a clip and returns the track of the person who lands.
// view is the view that is wanted; "" takes it as it is seen.
func (p Points) Place(ctx context.Context, s Source, view kinematics.View, tell video.Progress) (kinematics.Track, []kinematics.Note, error) {
	out, err := p.place(ctx, s, view, kinematics.DropLanding, tell)
	return out.track, out.notes, err
}

func (p Points) place(ctx context.Context, s Source, view kinematics.View, task kinematics.Task, tell video.Progress) (placed, error) {
	var pl video.Placements
	if s.Placements != nil {
		pl = s.Placements.Placements
		if view != "" && (view == kinematics.Front) == pl.View.IsSide() {
			return placed{}, notes.Refuse(notes.PlacedElsewhere, "", s.Placements.File, string(pl.View))
		}
		view = pl.View
	}
	switch {
	case p.Placer == ByHand && s.Placements == nil:
		return placed{}, notes.Refuse(notes.NoPoints, notes.NamePoints, s.Clip, ByHand)
	case p.Placer == ByHand:
		return p.follow(ctx, s, pl, tell)
	}
	nets, err := Nets(p.placer())
	switch {
	case errors.Is(err, models.ErrMissing) && s.Placements != nil:
		out, e := p.follow(ctx, s, pl, tell)
		out.notes = append(out.notes, notes.New(notes.OnlyByHand, "", err.Error()))
		return out, e
	case err != nil:
		return placed{}, err
	}
	if p.Mirrored {
		pl = swapped(pl)
	}
	people, film, err := video.Place(ctx, s.Clip, nets, pl, tell)
	if err != nil {
		return placed{}, err
	}
	q, said, err := p.who(people, s, view, task)
	if err != nil {
		return placed{}, err
	}
	if view, err = p.viewOf(q, s, view); err != nil {
		return placed{}, err
	}
	out := placed{track: p.trackOf(q, view), how: "placed automatically by the net " + p.placer(), notes: append(said, p.about(film, view)...), rate: film.CaptureFPS, feet: q.FeetOut, lost: damage(film)}
	out.bare = !anySeen(out.track, kinematics.Hip) || !anySeen(out.track, kinematics.Ankle)
	if n := len(pl.Frames); n > 0 {
		out.how += fmt.Sprintf(", corrected by hand on %d frames", n)
	}
	if q.Swaps > 0 {
		out.notes = append(out.notes, notes.New(notes.LegsMixedUp, notes.LookAtPoints, float64(q.Swaps)))
	}
	return out, out.track.Check()
}

// anySeen reports whether a joint of either leg is seen on any picture.
func anySeen(t kinematics.Track, part kinematics.Part) bool {
	for _, s := range []kinematics.Side{kinematics.Left, kinematics.Right} {
		if slices.ContainsFunc(t.Points[kinematics.On(s, part)], kinematics.Point.Seen) {
			return true
		}
	}
	return false
}

func (p Points) placer() string {
	if p.Placer == "" {
		return Placers[0]
	}
	return p.Placer
}

// follow carries points placed by hand through the clip by optical flow alone.
func (p Points) follow(ctx context.Context, s Source, pl video.Placements, tell video.Progress) (placed, error) {
	t, film, err := video.Track(ctx, s.Clip, pl, tell)
	return placed{track: t, how: fmt.Sprintf("placed by hand on %d frames and followed", len(pl.Frames)), notes: p.about(film, pl.View), rate: film.CaptureFPS, lost: damage(film)}, err
}

// damage says what of a clip is damaged.
func damage(film video.Footage) (out []kinematics.Note) {
	for _, l := range film.Losses {
		if l.CutOff {
			out = append(out, notes.New(notes.CutOff, "", l.FromS))
		} else {
			out = append(out, notes.New(notes.Damaged, "", l.FromS, l.ToS))
		}
	}
	for _, z := range film.Freezes {
		out = append(out, notes.New(notes.Frozen, "", z.FromS, z.ToS, float64(z.Pictures)))
	}
	return out
}

// about is what the reader should know of the clip itself.
func (p Points) about(film video.Footage, view kinematics.View) []kinematics.Note {
	out := damage(film)
	if film.CaptureFPS > 0 {
		out = append(out, notes.New(notes.FilmedAt, "", film.CaptureFPS, film.NominalFPS))
	}
	if (film.Mirrored || film.FrontCamera) && !p.Mirrored {
		says := notes.FrontCamera
		if film.Mirrored {
			says = notes.ShownMirrored
		}
		out = append(out, notes.New(says, notes.SayMirrored, leftLeg(view, false)))
	}
	return out
}

// swapped is the placements with left and right changed over.
func swapped(pl video.Placements) video.Placements {
	out := video.Placements{View: pl.View}
	for _, f := range pl.Frames {
		g := video.PlacedFrame{Frame: f.Frame, Points: map[kinematics.Landmark]kinematics.Point{}}
		for l, q := range f.Points {
			g.Points[kinematics.On(l.Side().Other(), l.Part())] = q
		}
		out.Frames = append(out.Frames, g)
	}
	return out
}

// viewOf is the view a person is measured in: the one wanted, unless they are seen to
// stand otherwise. In a mirror image the side that seems near is the other one.
func (p Points) viewOf(q video.Person, s Source, want kinematics.View) (kinematics.View, error) {
	clip := filepath.Base(s.Clip)
	if !p.AsGiven && s.Placements == nil {
		switch {
		case want == kinematics.Front && q.View != kinematics.Front:
			return "", notes.Refuse(notes.SeenFromSide, notes.GiveAsSide, clip)
		case want == Sideways && q.View == kinematics.Front:
			return "", notes.Refuse(notes.SeenFromFront, notes.GiveAsFront, clip)
		case q.View == kinematics.Front && q.Behind:
			return "", notes.Refuse(notes.SeenFromBehind, notes.FilmFront, clip)
		}
	}
	switch want {
	case "":
		return q.View, nil
	case Sideways:
		return q.Sideways, nil
	}
	if p.Mirrored && want.IsSide() { // named by the athlete's own side
		return q.Sideways, nil
	}
	return want, nil
}

// trackOf is the person's track with the athlete's own left and right.
func (p Points) trackOf(q video.Person, view kinematics.View) kinematics.Track {
	t := q.Track(view)
	if p.Mirrored {
		t = t.SidesSwapped()
	}
	return t
}

// who is the person who lands. When several do, the caller must say which.
func (p Points) who(people []video.Person, s Source, view kinematics.View, task kinematics.Task) (video.Person, []kinematics.Note, error) {
	clip := filepath.Base(s.Clip)
	if p.Person > len(people) {
		return video.Person{}, nil, notes.Refuse(notes.NotThatMany, "", float64(len(people)), clip, float64(p.Person))
	}
	if p.Person > 0 {
		return people[p.Person-1], nil, nil
	}
	if len(people) == 1 {
		return people[0], nil, nil
	}
	var land []int
	tallest := 0
	for i, q := range people {
		as := q.View
		if view == kinematics.Front {
			as = view
		}
		if found, err := kinematics.Trials(q.Track(as), kinematics.Options{Task: task}); err == nil && len(found) > 0 && !task.Grounded() {
			land = append(land, i)
		}
		if q.HeightPx > people[tallest].HeightPx {
			tallest = i
		}
	}
	switch len(land) {
	case 0:
		if task.Grounded() {
			return video.Person{}, nil, notes.Refuse(notes.SeveralPeople, notes.SayPerson, float64(len(people)), clip)
		}
		return people[tallest], nil, nil // measuring says why there is no landing
	case 1:
		return people[land[0]], []kinematics.Note{notes.New(notes.PersonMeasured, "", float64(len(people)), float64(land[0]+1))}, nil
	}
	var names []string
	for _, i := range land {
		names = append(names, fmt.Sprint(i+1))
	}
	return video.Person{}, nil, notes.Refuse(notes.SeveralLand, notes.SayPersonOf, float64(len(land)), float64(len(people)), clip, strings.Join(names, " or "))
}
