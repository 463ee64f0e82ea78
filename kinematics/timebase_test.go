package kinematics_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"steadfall/kinematics"
)

// said is all that is said of a track: warnings, or why it cannot be measured.
func said(tr kinematics.Track, opt kinematics.Options) string {
	opt.Task = kinematics.DropLanding
	l, err := kinematics.Derive(tr, opt)
	if err != nil {
		return err.Error()
	}
	out := fmt.Sprint(l.Notes, l.Gravity.Why, l.Doubt)
	for _, m := range l.Missing {
		out += m.Why.String()
	}
	return out
}

// some are the frames of a track at about as long a time after each other as gap says.
func some(t kinematics.Track, gap func() float64) kinematics.Track {
	out := kinematics.NewTrack(t.View, t.Width, t.Height, nil, nil)
	next := 0.0
	for i, at := range t.TimeS {
		if at < next {
			continue
		}
		next = at + gap()
		out.Frame, out.TimeS = append(out.Frame, i), append(out.TimeS, at)
		for l := range out.Points {
			out.Points[l] = append(out.Points[l], t.Points[l][i])
		}
	}
	return out
}

// Nobody is told of slow motion whose clip has few frames, or unsteady times, or a small jump:
// slow motion is said only where it would make the fall a body's.
func TestTrueSpeedIsNotCalledSlow(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 14))
	for _, view := range []kinematics.View{kinematics.Front, kinematics.SideRight} {
		for _, c := range []struct {
			name             string
			fps, boxCM, jerk float64
		}{
			{"5 frames a second", 5, 30, 0},
			{"8 frames a second", 8, 40, 0},
			{"12 frames a second", 12, 30, 0},
			{"15 frames a second", 15, 20, 0},
			{"times that vary", 30, 30, 0.4},
			{"times that vary, fast", 60, 30, 0.45},
			{"5 cm", 60, 5, 0},
			{"3 cm", 60, 3, 0},
			{"5 cm at 30", 30, 5, 0},
			{"8 cm", 120, 8, 0},
		} {
			for _, stature := range []float64{0, 175} {
				s := dropFront()
				s.View, s.FPS, s.BoxCM = view, 960, c.boxCM
				tr, _ := s.Track()
				tr = some(tr, func() float64 { return (1 + c.jerk*(2*rng.Float64()-1)) / c.fps })
				if words := said(tr, kinematics.Options{StatureCM: stature}); strings.Contains(words, "slow_motion") {
					t.Errorf("%s, %s, height %g: %s", view, c.name, stature, words)
				}
			}
		}
	}
}

var resting = map[string]bool{"s": true, "ms": true, "m/s": true, "× g": true, "cm": true, "cm²": true}

// What rests on a clip's times is not told where its fall is not that of a body: at half speed, at
// three quarters, under a wrong rate or height. Angles are.
func TestAWrongTimeBaseTellsNoTimes(t *testing.T) {
	known := &kinematics.KnownLength{CM: 100, X2: 420}
	for _, view := range []kinematics.View{kinematics.Front, kinematics.SideRight} {
		for _, c := range []struct {
			name    string
			slow    float64
			opt     kinematics.Options
			trusted bool
		}{
			{"as filmed", 1, kinematics.Options{StatureCM: 175}, true},
			{"as filmed, a length known", 1, kinematics.Options{Length: known}, true},
			{"as filmed, nothing known", 1, kinematics.Options{}, true},
			{"half speed", 2, kinematics.Options{StatureCM: 175}, false},
			{"half speed, a length known", 2, kinematics.Options{Length: known}, false},
			{"half speed, nothing known", 2, kinematics.Options{}, false},
			{"a quarter", 4, kinematics.Options{Length: known}, false},
			{"double speed", 0.5, kinematics.Options{StatureCM: 175}, false},
			{"three times the speed", 1.0 / 3, kinematics.Options{StatureCM: 175}, false},
			{"a rate given that was not", 1, kinematics.Options{StatureCM: 175, CaptureFPS: 240}, false},
			{"a height of 120 cm for 175", 1, kinematics.Options{StatureCM: 110}, false},
		} {
			s := dropFront()
			s.View, s.FPS, s.HoldS = view, 120, 4
			tr, _ := s.Track()
			tr = moved(tr, func(l kinematics.Landmark, p kinematics.Point) (kinematics.Landmark, kinematics.Point) { return l, p },
				func(at float64) float64 { return at * c.slow })
			c.opt.Task = kinematics.DropLanding
			l, err := kinematics.Derive(tr, c.opt)
			if err != nil {
				if c.trusted {
					t.Errorf("%s, %s: %v", view, c.name, err)
				}
				continue
			}
			told := ""
			for _, m := range l.Measures {
				if resting[m.Unit] {
					told += fmt.Sprintf(" %s %.2f ± %.2f %s", m.Name, m.Value, m.SD, m.Unit)
				}
			}
			if (told != "") != c.trusted {
				t.Errorf("%s, %s (%+v): told%s", view, c.name, l.Gravity, told)
			}
			if _, ok := l.Measure("hold_time", kinematics.Both); ok != c.trusted {
				t.Errorf("%s, %s: the hold is told: %v", view, c.name, ok)
			}
			angle, side := "fppa_peak", kinematics.Left
			if view != kinematics.Front {
				angle, side = "knee_flexion_peak", kinematics.Right
			}
			if _, ok := l.Measure(angle, side); !ok {
				t.Errorf("%s, %s: %s is not told", view, c.name, angle)
			}
			if !c.trusted && (l.Doubt == nil || l.Doubt.Severity != kinematics.Doubt) {
				t.Errorf("%s, %s: %v is said", view, c.name, l.Doubt)
			}
		}
	}
}
