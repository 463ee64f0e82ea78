package video_test

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"slices"
	"testing"

	"steadfall/internal/models"
	"steadfall/internal/testkit/synthetic"
	"steadfall/kinematics"
	"steadfall/video"
)

func nets(t testing.TB) video.Nets {
	t.Helper()
	library, err := models.Runtime()
	if err != nil && !errors.Is(err, models.ErrNoRuntime) {
		t.Fatal(err)
	}
	detector, err := models.Load(models.Detector, library == "")
	if errors.Is(err, models.ErrMissing) {
		t.Skip("the nets are not on this machine; run make models")
	}
	landmarks, err2 := models.Load(models.Full, library == "")
	if err := errors.Join(err, err2); err != nil {
		t.Fatal(err)
	}
	return video.Nets{Detector: detector, Landmarks: landmarks, LandmarkOutputs: models.Outputs(models.Full), Runtime: library}
}

// errorsOf are the distances of hip, knee and ankle from the truth where they can be
// seen, on the frames [from, to), as shares of the body height, in order of size.
func errorsOf(c synthetic.Truth, tr kinematics.Track, from, to int) []float64 {
	var out []float64
	for i := from; i < to; i++ {
		for _, l := range kinematics.Landmarks() {
			if p := l.Part(); p != kinematics.Hip && p != kinematics.Knee && p != kinematics.Ankle {
				continue
			}
			q := tr.Points[l][i]
			if x, y, ok := c.Point(i, l); ok && q.Seen() && !slices.Contains(c.Frames[i].Hidden, string(l)) {
				out = append(out, math.Hypot(q.X-x, q.Y-y)/c.BodyPx())
			}
		}
	}
	slices.Sort(out)
	return out
}

// With no point placed by hand: the limits are those the project has set itself for
// rendered clips, median 2 % and 95th percentile 4.5 % of the body height.
func TestPlaceAgainstTruth(t *testing.T) {
	for _, name := range []string{"two_foot_knee_in_front", "two_foot_knee_in_side"} {
		c := truth(t, name)
		people, _, err := video.Place(context.Background(), filepath.Join(clips, name+".mp4"), nets(t), video.Placements{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(people) != 1 || people[0].View != c.View || people[0].Behind || people[0].FeetOut > 0 {
			t.Fatalf("%s: %+v", name, people)
		}
		tr := people[0].Track(c.View)
		e := errorsOf(c, tr, 0, len(tr.Frame))
		if len(e) < 3*len(tr.Frame) {
			t.Errorf("%s: only %d joints seen on %d frames", name, len(e), len(tr.Frame))
		}
		if m, p := e[len(e)/2], e[len(e)*95/100]; m > 0.02 || p > 0.045 {
			t.Errorf("%s: median error %.2f %%, 95th percentile %.2f %%", name, 100*m, 100*p)
		}
		if far := c.View.Near().Other(); c.View.IsSide() {
			for i, q := range tr.Points[kinematics.On(far, kinematics.Hip)] {
				if q.Seen() {
					t.Errorf("%s: the far hip is behind the trunk on frame %d, but it was given a place", name, i)
					break
				}
			}
		}
	}
}

// Points placed by hand win over the net on their frame and bring the frames around it
// nearer to the truth.
func TestHandPlacementsWin(t *testing.T) {
	const name, around = "two_foot_steady_front", 10
	c := truth(t, name)
	at := int(math.Round(c.Truth.LowestS * c.FPS))
	pl := c.Placements([]int{at}, 1, c.Rand(1))
	place := func(pl video.Placements) kinematics.Track {
		people, _, err := video.Place(context.Background(), filepath.Join(clips, name+".mp4"), nets(t), pl, nil)
		if err != nil {
			t.Fatal(err)
		}
		return people[0].Track(kinematics.Front)
	}
	before, after := place(video.Placements{}), place(pl)
	for l, want := range pl.Frames[0].Points {
		if q := after.Points[l][at]; q.Source != kinematics.Placed || math.Hypot(q.X-want.X, q.Y-want.Y) > 1.5 || q.SD > 1 {
			t.Errorf("%s on its frame: %+v, placed at %+v", l, q, want)
		}
	}
	was, is := errorsOf(c, before, at-around, at+around), errorsOf(c, after, at-around, at+around)
	if a, b := was[len(was)/2], is[len(is)/2]; b > 0.6*a {
		t.Errorf("the median error around the frame is %.2f %%, without placements %.2f %%", 100*b, 100*a)
	}
}

func TestPlaceCanBeInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	_, _, err := video.Place(ctx, filepath.Join(clips, "two_foot_steady_front.mp4"), nets(t), video.Placements{}, func(done, _ int) {
		if done == 5 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}
