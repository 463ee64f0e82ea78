package pipeline

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"steadfall/internal/models"
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
	how   string   // in words
	notes []string // what the reader should know
	rate  float64  // how fast the phone says it filmed, where the clip plays slower; else 0
	feet  float64  // share of the pictures on which a foot was outside of them
	bare  bool     // the net saw no hip or no ankle on any picture
	lost  []string // what of the clip is damaged
}

// explain says more plainly why nothing was found where the legs were not seen.
func (p placed) explain(err error) error {
	if p.bare {
		return fmt.Errorf("the athlete's legs are not seen: they are outside the picture or hidden; step back or aim lower, so that the whole athlete is seen from before the step-off until after the hold")
	}
	if p.feet > feetOutMost {
		return fmt.Errorf("the feet are outside the picture; step back or aim lower, so that the whole athlete is seen from before the step-off until after the hold")
	}
	if len(p.lost) > 0 {
		return fmt.Errorf("%w; %s", err, p.lost[0])
	}
	return err
}

// feetOutMost is the share of pictures on which the feet may be out of the picture.
const feetOutMost = 0.3

// Nets loads the nets of a placer.
func Nets(placer string) (video.Nets, error) {
	detector, err := models.Load(models.Detector)
	if err != nil {
		return video.Nets{}, err
	}
	landmarks, err := models.Load(models.Net(placer))
	if err != nil {
		return video.Nets{}, err
	}
	return video.Nets{Detector: detector, Landmarks: landmarks, LandmarkOutputs: models.Outputs(models.Net(placer))}, nil
}

// Sideways is either side view.
const Sideways kinematics.View = "side"

// Place places the points of a clip and returns the track of the person who lands.
// view is the view that is wanted; "" takes it as it is seen.
func (p Points) Place(ctx context.Context, s Source, view kinematics.View, tell video.Progress) (kinematics.Track, []string, error) {
	out, err := p.place(ctx, s, view, kinematics.DropLanding, tell)
	return out.track, out.notes, err
}

func (p Points) place(ctx context.Context, s Source, view kinematics.View, task kinematics.Task, tell video.Progress) (placed, error) {
	var pl video.Placements
	if s.Placements != nil {
		pl = s.Placements.Placements
		if view != "" && (view == kinematics.Front) == pl.View.IsSide() {
			return placed{}, fmt.Errorf("the placements %q are for the view %s; give them with the clip of that view", s.Placements.File, pl.View)
		}
		view = pl.View
	}
	switch {
	case p.Placer == ByHand && s.Placements == nil:
		return placed{}, fmt.Errorf("no points are given for %q; name a placements file or a track, or choose a placer other than %s", s.Clip, ByHand)
	case p.Placer == ByHand:
		return p.follow(ctx, s, pl, tell)
	}
	nets, err := Nets(p.placer())
	switch {
	case errors.Is(err, models.ErrMissing) && s.Placements != nil:
		out, e := p.follow(ctx, s, pl, tell)
		out.notes = append(out.notes, "only the points placed by hand were followed; "+err.Error())
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
	q, notes, err := p.who(people, s, view, task)
	if err != nil {
		return placed{}, err
	}
	if view, err = p.viewOf(q, s, view); err != nil {
		return placed{}, err
	}
	out := placed{track: p.trackOf(q, view), how: "placed automatically by the net " + p.placer(), notes: append(notes, p.about(film, view)...), rate: film.CaptureFPS, feet: q.FeetOut, lost: damage(film)}
	out.bare = !anySeen(out.track, kinematics.Hip) || !anySeen(out.track, kinematics.Ankle)
	if n := len(pl.Frames); n > 0 {
		out.how += fmt.Sprintf(", corrected by hand on %d frames", n)
	}
	if q.Swaps > 0 {
		out.notes = append(out.notes, fmt.Sprintf("left and right leg were mixed up and put right (pictures: %d); check the points", q.Swaps))
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
func damage(film video.Footage) (notes []string) {
	for _, l := range film.Losses {
		if l.CutOff {
			notes = append(notes, fmt.Sprintf("the file is cut off after %.2f s; what comes after that is lost", l.FromS))
		} else {
			notes = append(notes, fmt.Sprintf("the file is damaged from %.2f s to %.2f s; nothing was measured there", l.FromS, l.ToS))
		}
	}
	for _, z := range film.Freezes {
		notes = append(notes, fmt.Sprintf("the picture or a part of it is frozen from %.2f s to %.2f s (frames: %d), though the athlete moves on; nothing was measured there", z.FromS, z.ToS, z.Pictures))
	}
	return notes
}

// about is what the reader should know of the clip itself.
func (p Points) about(film video.Footage, view kinematics.View) []string {
	notes := damage(film)
	if film.CaptureFPS > 0 {
		notes = append(notes, fmt.Sprintf("filmed at %.0f a second, the phone says; it plays at %.0f", film.CaptureFPS, film.NominalFPS))
	}
	if (film.Mirrored || film.FrontCamera) && !p.Mirrored {
		says := "the file says that the front camera filmed it"
		if film.Mirrored {
			says = "the file says that its picture is shown as in a mirror"
		}
		notes = append(notes, fmt.Sprintf("%s; the athlete's left leg is taken to be %s: if the picture you see is a mirror image, add --mirrored", says, leftLeg(view, false)))
	}
	return notes
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
			return "", fmt.Errorf("%q is taken as filmed from the front, but the athlete is seen from the side; give it with --side, or add --as-given if it is from the front all the same", clip)
		case want == Sideways && q.View == kinematics.Front:
			return "", fmt.Errorf("%q is taken as filmed from the side, but the athlete is seen from the front; give it with --front, or add --as-given if it is from the side all the same", clip)
		case q.View == kinematics.Front && q.Behind:
			return "", fmt.Errorf("the athlete in %q is seen from behind, where left and right change over; film from the front, or add --as-given if they do face the camera", clip)
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
func (p Points) who(people []video.Person, s Source, view kinematics.View, task kinematics.Task) (video.Person, []string, error) {
	clip := filepath.Base(s.Clip)
	if p.Person > len(people) {
		return video.Person{}, nil, fmt.Errorf("%d people are seen in %q; there is no person %d", len(people), clip, p.Person)
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
		if found, err := kinematics.Trials(q.Track(as), kinematics.Options{Task: task}); err == nil && len(found) > 0 && task != kinematics.SnapDown {
			land = append(land, i)
		}
		if q.HeightPx > people[tallest].HeightPx {
			tallest = i
		}
	}
	switch len(land) {
	case 0:
		if task == kinematics.SnapDown {
			return video.Person{}, nil, fmt.Errorf("%d people are seen in %q; say which one to measure with --person, counted from the left", len(people), clip)
		}
		return people[tallest], nil, nil // measuring says why there is no landing
	case 1:
		return people[land[0]], []string{fmt.Sprintf("%d people are seen in the clip; person %d from the left, the one who lands, was measured", len(people), land[0]+1)}, nil
	}
	var names []string
	for _, i := range land {
		names = append(names, fmt.Sprint(i+1))
	}
	return video.Person{}, nil, fmt.Errorf("%d of the %d people in %q land; say which one to measure with --person %s, counted from the left", len(land), len(people), clip, strings.Join(names, " or "))
}
