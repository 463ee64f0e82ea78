package kinematics_test

import (
	"bytes"
	"errors"
	"flag"
	"math"
	"os"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"steadfall/internal/simulated"
	"steadfall/kinematics"
)

// Every case of a law derives five landings, so a few dozen cases are run here;
// -rapid.checks asks for more.
func TestMain(m *testing.M) {
	flag.Parse()
	asked := false
	flag.Visit(func(f *flag.Flag) { asked = asked || f.Name == "rapid.checks" })
	if !asked {
		if err := flag.Set("rapid.checks", "24"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

func dropFront() simulated.Landing {
	return simulated.Landing{
		View: kinematics.Front, FPS: 60, StatureCM: 175, PxPerCM: 4.2, BoxCM: 30, DepthCM: 20, HoldS: 2.5, SD: 1,
		FPPADeg: map[kinematics.Side]float64{kinematics.Left: 14, kinematics.Right: 3},
	}
}

// tester is what *testing.T and *rapid.T share.
type tester interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
	Fatal(args ...any)
}

func derive(t tester, tr kinematics.Track, opt kinematics.Options) kinematics.Landing {
	t.Helper()
	if opt.Task == "" {
		opt.Task = kinematics.DropLanding
	}
	if opt.StatureCM == 0 {
		opt.StatureCM = 175
	}
	l, err := kinematics.Derive(tr, opt)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func value(t tester, l kinematics.Landing, name string, side kinematics.Side) float64 {
	t.Helper()
	m, ok := l.Measure(name, side)
	if !ok {
		t.Fatalf("%s (%s) is missing: %v", name, side, l.Missing)
	}
	return m.Value
}

func within(t tester, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.4f, want %.4f within %g", what, got, want, tol)
	}
}

func at(t tester, l kinematics.Landing, name kinematics.EventName) float64 {
	t.Helper()
	e, ok := l.Event(name)
	if !ok {
		t.Fatalf("no %s in %v", name, l.Events)
	}
	return e.TimeS
}

// The simulation is closed-form, so its numbers are exact; the tolerances are what
// 60 frames a second and the filter leave.
func TestDropLandingFromTheFront(t *testing.T) {
	s := dropFront()
	tr, truth := s.Track()
	l := derive(t, tr, kinematics.Options{Length: &kinematics.KnownLength{CM: 100, X2: 420}})
	within(t, "contact", at(t, l, kinematics.InitialContact), truth.ContactS, 0.25/60)
	within(t, "lowest", at(t, l, kinematics.Lowest), truth.LowestS, 1.5/60)
	within(t, "left knee in", value(t, l, "fppa_peak", kinematics.Left), 14, 0.7)
	within(t, "right knee in", value(t, l, "fppa_peak", kinematics.Right), 3, 0.7)
	within(t, "both knees", value(t, l, "fppa_peak", kinematics.Both), 8.5, 0.7)
	within(t, "depth", value(t, l, "landing_depth", kinematics.Both), 20, 0.8)
	within(t, "contact gap", value(t, l, "contact_gap", kinematics.Both), 0, 1)
	within(t, "hold", value(t, l, "hold_time", kinematics.Both), s.HoldS, 0.25) // stillness is judged on hips filtered at 1.5 Hz
	if l.Gravity.Verdict != kinematics.GravityAgrees {
		t.Errorf("gravity check: %+v", l.Gravity)
	}
	within(t, "gravity", l.Gravity.Measured, 9.81, 0.4)
}

func TestDropLandingFromTheSide(t *testing.T) {
	s := dropFront()
	s.View, s.DepthCM = kinematics.SideRight, 25
	tr, truth := s.Track()
	l := derive(t, tr, kinematics.Options{})
	within(t, "knee bend", value(t, l, "knee_flexion_peak", kinematics.Right), truth.KneeFlexionPeak, 1.5)
	within(t, "depth by height", value(t, l, "landing_depth", kinematics.Both), 25, 1.5)
	if view, err := kinematics.FacingView(tr); err != nil || view != kinematics.SideRight {
		t.Errorf("the athlete looks right, but the view is %q, %v", view, err)
	}
}

// A snap-down has no flight: it is told as pulled or fallen, and a missing contact
// is no error.
func TestSnapDownTellsPullingFromFalling(t *testing.T) {
	for _, pull := range []float64{0.7, 1.4} {
		s := dropFront()
		s.BoxCM, s.DepthCM, s.PullG = 0, 35, pull
		tr, truth := s.Track()
		l := derive(t, tr, kinematics.Options{Task: kinematics.SnapDown, Length: &kinematics.KnownLength{CM: 100, X2: 420}})
		got := value(t, l, "pull_down", kinematics.Both)
		if (got > 1) != (pull > 1) {
			t.Errorf("pulled at %.1f g, measured %.2f g", pull, got)
		}
		within(t, "pull", got, pull, 0.25*pull)
		within(t, "lowest", at(t, l, kinematics.Lowest), truth.LowestS, 0.05)
		if l.Gravity.Verdict != kinematics.GravityNone {
			t.Errorf("the gravity check of a snap-down says %s", l.Gravity.Verdict)
		}
		if len(l.Feet) != 0 {
			t.Errorf("contacts were found: %v", l.Feet)
		}
	}
}

// noted reports whether a landing holds a note of that code.
func noted(l kinematics.Landing, code kinematics.Code) bool {
	return slices.ContainsFunc(l.Notes, func(n kinematics.Note) bool { return n.Code == code })
}

// isSlow reports whether a note says that a clip plays k times too slowly and was filmed at fps.
func isSlow(n *kinematics.Note, code kinematics.Code, k, fps float64) bool {
	return n != nil && n.Code == code && slices.Equal(n.Args, []any{k, fps}) && n.Hint == kinematics.HintGiveRate
}

// remark is the note of an error; nil where it has none.
func remark(err error) *kinematics.Note {
	var has interface{ Remark() kinematics.Note }
	if !errors.As(err, &has) {
		return nil
	}
	n := has.Remark()
	return &n
}

// A slow-motion export falls too slowly: the flight says so and proposes the rate,
// which is never applied by itself.
func TestSlowMotionIsRecognised(t *testing.T) {
	s := dropFront()
	s.View = kinematics.SideRight // a flight without growth towards the camera
	tr, truth := s.Track()
	slow := moved(tr, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) { return l, p },
		func(s float64) float64 { return 2 * s })
	length := &kinematics.KnownLength{CM: 100, X2: 420}
	l := derive(t, slow, kinematics.Options{Length: length})
	if l.Gravity.Verdict != kinematics.GravityDiffers || !isSlow(l.Gravity.Why, kinematics.NoteSlowMotion, 2, 60) {
		t.Errorf("half speed: %+v", l.Gravity)
	}
	l = derive(t, slow, kinematics.Options{Length: length, CaptureFPS: 60})
	if l.Gravity.Verdict != kinematics.GravityAgrees {
		t.Errorf("with the capture rate: %+v", l.Gravity)
	}
	within(t, "contact", at(t, l, kinematics.InitialContact), truth.ContactS, 0.25/60)
}

func TestNoLandingIsSaidWhy(t *testing.T) {
	whole, truth := dropFront().Track()
	for _, c := range []struct {
		name     string
		from, to float64
		want     kinematics.Code
	}{
		{"standing only", 0, 0.75, kinematics.NoLandingNoFall},
		{"ends in the air", 0, truth.ContactS - 0.02, kinematics.NoLandingEndsInAir},
		{"starts after", truth.LowestS + 0.1, 9, kinematics.NoLandingNoFall},
	} {
		_, err := kinematics.Derive(cut(whole, c.from, c.to), kinematics.Options{Task: kinematics.DropLanding})
		var none *kinematics.NoLandingError
		if !errors.As(err, &none) || none.Note.Code != c.want {
			t.Errorf("%s: %v, want a NoLandingError with %q", c.name, err, c.want)
		}
	}
}

func cut(t kinematics.Track, from, to float64) kinematics.Track {
	var keep []int
	for i, s := range t.TimeS {
		if s >= from && s <= to {
			keep = append(keep, i)
		}
	}
	a, b := keep[0], keep[len(keep)-1]+1
	out := kinematics.Track{View: t.View, Frame: t.Frame[a:b], TimeS: t.TimeS[a:b], Points: map[kinematics.Landmark][]kinematics.Point{}}
	for l, ps := range t.Points {
		out.Points[l] = ps[a:b]
	}
	return out
}

// moved returns the track with every point and time changed.
func moved(t kinematics.Track, point func(kinematics.Landmark, kinematics.Point) (kinematics.Landmark, kinematics.Point), time func(float64) float64) kinematics.Track {
	out := kinematics.NewTrack(t.View, t.Width, t.Height, t.Frame, append([]float64(nil), t.TimeS...))
	for i := range out.TimeS {
		out.TimeS[i] = time(out.TimeS[i])
	}
	for l, ps := range t.Points {
		for i, p := range ps {
			m, q := point(l, p)
			out.Points[m][i] = q
		}
	}
	return out
}

func still(s float64) float64 { return s }

// What a landing is does not depend on where in the picture it is, how large, when
// it happens, or whether it is seen in a mirror with left and right exchanged.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := dropFront()
		s.DepthCM = rapid.Float64Range(12, 28).Draw(t, "depth")
		s.FPPADeg = map[kinematics.Side]float64{
			kinematics.Left:  rapid.Float64Range(-8, 20).Draw(t, "left"),
			kinematics.Right: rapid.Float64Range(-8, 20).Draw(t, "right"),
		}
		tr, _ := s.Track()
		base := derive(t, tr, kinematics.Options{})
		same := func(what string, other kinematics.Landing, swap bool, shift float64) {
			for _, m := range base.Measures {
				side := m.Side
				if swap {
					side = side.Other()
				}
				want := m.Value
				if swap && (m.Name == "contact_gap" || m.Name == "trunk_lean") {
					want = -want
				}
				got, ok := other.Measure(m.Name, side)
				if !ok || math.Abs(got.Value-want) > 1e-6*(1+math.Abs(want)) {
					t.Fatalf("%s: %s (%s) is %v, want %v", what, m.Name, side, got.Value, want)
				}
			}
			for i, e := range base.Events {
				if got := other.Events[i].TimeS; !swap && math.Abs(got-e.TimeS-shift) > 1e-6 {
					t.Fatalf("%s: %s at %v, want %v", what, e.Name, got, e.TimeS+shift)
				}
			}
		}
		dx, dy := rapid.Float64Range(-300, 300).Draw(t, "dx"), rapid.Float64Range(-300, 300).Draw(t, "dy")
		same("translated", derive(t, moved(tr, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) {
			p.X, p.Y = p.X+dx, p.Y+dy
			return l, p
		}, still), kinematics.Options{}), false, 0)

		k := rapid.Float64Range(0.5, 2).Draw(t, "scale")
		same("scaled", derive(t, moved(tr, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) {
			p.X, p.Y, p.SD = k*p.X, k*p.Y, k*p.SD
			return l, p
		}, still), kinematics.Options{}), false, 0)

		d := float64(rapid.IntRange(1, 64).Draw(t, "later")) / 16
		same("later", derive(t, moved(tr, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) {
			return l, p
		}, func(s float64) float64 { return s + d }), kinematics.Options{}), false, d)

		same("mirrored", derive(t, moved(tr, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) {
			p.X = 1080 - p.X
			return kinematics.On(l.Side().Other(), l.Part()), p
		}, still), kinematics.Options{}), true, 0)

		same("a mirror image, said to be one", derive(t, moved(tr, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) {
			p.X = 1079 - p.X
			return l, p
		}, still), kinematics.Options{Mirrored: true}), false, 0)
	})
}

// Re-scoring from a track file gives what the track gave.
func TestTrackFileRoundTrip(t *testing.T) {
	tr, _ := dropFront().Track()
	tr.Points["left_toe"][5] = kinematics.Unseen()
	var b bytes.Buffer
	if err := kinematics.WriteTrack(&b, tr); err != nil {
		t.Fatal(err)
	}
	again, err := kinematics.ReadTrack(&b, kinematics.Front)
	if err != nil {
		t.Fatal(err)
	}
	if again.Points["left_toe"][5].Seen() {
		t.Error("a lost point came back")
	}
	within(t, "x", again.Points["left_knee"][7].X, tr.Points["left_knee"][7].X, 5e-4)
	within(t, "time", again.TimeS[9], tr.TimeS[9], 5e-7)
	a, c := derive(t, tr, kinematics.Options{}), derive(t, again, kinematics.Options{})
	for _, m := range a.Measures {
		within(t, m.Name, value(t, c, m.Name, m.Side), m.Value, 0.02*(1+math.Abs(m.Value)))
	}
}

func TestBadTracksAreRefused(t *testing.T) {
	const head = "frame,time_s,landmark,x_px,y_px,sd_px,source\n"
	for _, c := range []struct{ name, text, want string }{
		{"other file", "a,b\n1,2\n", "not a track"},
		{"empty", head, "no points"},
		{"negative time", head + "0,-1,left_hip,1,2,1,placed\n", "must be 0 or more"},
		{"doubled time", head + "0,1,left_hip,1,2,1,placed\n1,1,left_hip,1,2,1,placed\n", "must increase"},
		{"two times", head + "0,1,left_hip,1,2,1,placed\n0,2,right_hip,1,2,1,placed\n", "two times"},
		{"unknown landmark", head + "0,0,left_wing,1,2,1,placed\n", "line 2: unknown landmark"},
		{"not a number", head + "0,0,left_hip,one,2,1,placed\n", "line 2: x_px"},
		{"NaN", head + "0,0,left_hip,NaN,2,1,placed\n", "line 2: x_px"},
		{"no sd", head + "0,0,left_hip,1,2,0,placed\n", "not a plain positive number"},
		{"twice", head + "0,0,left_hip,1,2,1,placed\n0,0,left_hip,1,2,1,placed\n", "stands twice"},
		{"source", head + "0,0,left_hip,1,2,1,guessed\n", "line 2: source"},
	} {
		_, err := kinematics.ReadTrack(bytes.NewReader([]byte(c.text)), kinematics.Front)
		if err == nil || !bytes.Contains([]byte(err.Error()), []byte(c.want)) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}
