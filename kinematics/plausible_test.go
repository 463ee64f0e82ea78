package kinematics_test

import (
	"errors"
	"math"
	"os"
	"slices"
	"testing"

	"steadfall/kinematics"
)

// One point that lies where no knee can be is found and said, and the rest is measured as without
// it; so is a stretch on which left and right were changed over.
func TestWildPointsAndSwappedLabels(t *testing.T) {
	sim := dropFront()
	clean, truth := sim.Track()
	want := derive(t, clean, kinematics.Options{})
	for _, c := range []struct {
		name   string
		broken func(kinematics.Track)
		said   kinematics.Code
		args   []any // the first
	}{
		{"a wild knee", func(tr kinematics.Track) {
			i := int((truth.ContactS + 0.1) * sim.FPS)
			tr.Points[kinematics.On(kinematics.Right, kinematics.Knee)][i].X += 400
		}, kinematics.NotePointWild, []any{"right knee"}},
		{"a wild ankle, above the hips", func(tr kinematics.Track) {
			i := int((truth.LowestS + 0.5) * sim.FPS)
			tr.Points[kinematics.On(kinematics.Left, kinematics.Ankle)][i].Y -= 700
		}, kinematics.NotePointWild, []any{"left ankle"}},
		{"left and right changed over for a third of a second", func(tr kinematics.Track) {
			from := int((truth.ContactS + 0.05) * sim.FPS)
			for _, p := range kinematics.Parts {
				l, r := tr.Points[kinematics.On(kinematics.Left, p)], tr.Points[kinematics.On(kinematics.Right, p)]
				for i := from; i < from+20; i++ {
					l[i], r[i] = r[i], l[i]
				}
			}
		}, kinematics.NoteLegsSwapped, nil},
	} {
		tr, _ := sim.Track()
		c.broken(tr)
		got := derive(t, tr, kinematics.Options{})
		for _, m := range want.Measures {
			if m.Name != "fppa_peak" && m.Name != "landing_depth" && m.Name != "hold_time" {
				continue
			}
			v, ok := got.Measure(m.Name, m.Side)
			if !ok || math.Abs(v.Value-m.Value) > math.Max(0.5, m.SD) {
				t.Errorf("%s: %s (%s) is %.2f ± %.2f, without it %.2f", c.name, m.Name, m.Side, v.Value, v.SD, m.Value)
			}
		}
		if !slices.ContainsFunc(got.Notes, func(n kinematics.Note) bool { return n.Code == c.said && slices.Equal(n.Args[:len(c.args)], c.args) }) {
			t.Errorf("%s: %v is said", c.name, got.Notes)
		}
	}
}

// What is no person standing in that view is refused, with what to look at.
func TestWhatIsNoBodyIsRefused(t *testing.T) {
	front, truth := dropFront().Track()
	s := dropFront()
	s.View = kinematics.SideRight
	side, _ := s.Track()
	as := func(tr kinematics.Track, v kinematics.View) kinematics.Track {
		tr.View = v
		return tr
	}
	// shaped moves the parts of a track up and down as shape says.
	shaped := func(shape map[kinematics.Part]float64) kinematics.Track {
		return moved(front, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) {
			p.Y += shape[l.Part()]
			return l, p
		}, still)
	}
	for _, c := range []struct {
		name  string
		track kinematics.Track
		want  kinematics.Code
	}{
		{"the side given as front", as(side, kinematics.Front), kinematics.TrackSeenFromSide},
		{"the front given as side", as(front, kinematics.SideRight), kinematics.TrackSeenFromFront},
		{"left and right changed over", front.SidesSwapped(), kinematics.TrackSidesSwapped},
		{"knees by the hips", shaped(map[kinematics.Part]float64{kinematics.Knee: -120}), kinematics.TrackNoPerson},
		{"shoulders under the hips", shaped(map[kinematics.Part]float64{kinematics.Shoulder: 450}), kinematics.TrackNoPerson},
		{"hips by the ankles", shaped(map[kinematics.Part]float64{kinematics.Hip: 250, kinematics.Knee: 120}), kinematics.TrackNoPerson},
		{"a knee all about", changed(front, truth.ContactS-0.5, 9, kinematics.Left, knee, func(at float64, p kinematics.Point) kinematics.Point {
			if int(at*60)%4 == 0 {
				p.X += 300
			}
			return p
		}), kinematics.TrackPointsJump},
	} {
		_, err := kinematics.Derive(c.track, kinematics.Options{Task: kinematics.DropLanding, StatureCM: 175})
		if n := remark(err); n == nil || n.Code != c.want {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// A foot that comes down while the other one stands on the same floor takes a step; there is no
// landing to score.
func TestAStepIsNoLanding(t *testing.T) {
	s := onRight()
	tr, _ := s.Track()
	last := len(tr.TimeS) - 1
	for _, p := range foot {
		l, r := tr.Points[kinematics.On(kinematics.Left, p)], tr.Points[kinematics.On(kinematics.Right, p)]
		for i := range l {
			l[i].Y = r[last].Y
		}
	}
	_, err := kinematics.Derive(tr, kinematics.Options{Task: kinematics.DropLanding, StatureCM: 175})
	var none *kinematics.NoLandingError
	if !errors.As(err, &none) {
		t.Errorf("%v", err)
	}
}

// A step of a run ends a flight and is no landing: not that of somebody who runs, and not one after
// which the hips go on at 2.2 m/s. Who jumps forward, as fast, and stops has landed.
func TestARunIsNoLanding(t *testing.T) {
	f, err := os.Open("testdata/run.side.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	run, err := kinematics.ReadTrack(f, kinematics.SideRight)
	if err != nil {
		t.Fatal(err)
	}
	s := onRight()
	s.View = kinematics.SideRight
	moved := func(stopS float64) kinematics.Track {
		tr, truth := s.Track()
		for l := range tr.Points {
			for i, at := range tr.TimeS {
				tr.Points[l][i].X += 220 * s.PxPerCM * math.Min(at, truth.ContactS+stopS)
			}
		}
		return tr
	}
	for _, c := range []struct {
		what  string
		track kinematics.Track
		lands bool
	}{
		{"a run", run, false}, {"a landing that runs on", moved(math.Inf(1)), false}, {"a forward jump", moved(0.2), true},
	} {
		_, err := kinematics.Derive(c.track, kinematics.Options{Task: kinematics.DropLanding, StatureCM: 175})
		var none *kinematics.NoLandingError
		switch refused := errors.As(err, &none); {
		case c.lands && err != nil:
			t.Errorf("%s: %v", c.what, err)
		case !c.lands && !(refused && none.Note.Code == kinematics.NoLandingRunsOn):
			t.Errorf("%s: %v", c.what, err)
		}
	}
}
