package kinematics_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"steadfall/kinematics"
)

// Whatever a track file holds, reading it gives a track that keeps the rules or one plain
// sentence; what was read is written and read again as the same; and measuring it ends
// without a panic.
func FuzzReadTrack(f *testing.F) {
	s := dropFront()
	s.FPS, s.HoldS = 15, 0.4
	tr, _ := s.Track()
	var b bytes.Buffer
	if err := kinematics.WriteTrack(&b, tr); err != nil {
		f.Fatal(err)
	}
	whole := b.String()
	head, _, _ := strings.Cut(whole, "\n")
	f.Add(whole)
	f.Add(head + "\n0,0.0,left_hip,1,2,3,placed\n")
	f.Add(head + "\n0,0,left_hip,1e308,-1e308,1e-308,model\n1,1e-9,left_hip,1,1,1,model\n2,1e9,left_hip,1,1,1,model\n")
	f.Add(head + "\n0,NaN,left_hip,1,2,3,placed\n")
	f.Add("frame,time_s\n0,0\n")
	f.Add("")
	f.Fuzz(func(t *testing.T, text string) {
		track, err := kinematics.ReadTrack(strings.NewReader(text), kinematics.Front)
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("more than one line: %q", err)
			}
			return
		}
		if err := track.Check(); err != nil {
			t.Fatalf("read, but %v", err)
		}
		var out bytes.Buffer
		if err := kinematics.WriteTrack(&out, track); err != nil {
			t.Fatal(err)
		}
		if again, err := kinematics.ReadTrack(&out, kinematics.Front); err == nil && !reflect.DeepEqual(again.Frame, track.Frame) {
			t.Errorf("frames %v came back as %v", track.Frame, again.Frame)
		}
		if len(track.Frame) <= 400 { // long ones cost time, not sense
			_, _ = kinematics.Derive(track, kinematics.Options{Task: kinematics.DropLanding, StatureCM: 170, Seed: 1})
		}
	})
}

// Times that no camera makes are refused instead of filling the memory with a grid.
func TestImpossibleTimes(t *testing.T) {
	s := dropFront()
	for name, change := range map[string]func(times []float64){
		"a day between two frames": func(times []float64) { times[len(times)-1] += 86400 },
		"a million frames a second": func(times []float64) {
			for i := range times {
				times[i] /= 1e4
			}
		},
	} {
		tr, _ := s.Track()
		change(tr.TimeS)
		if _, err := kinematics.Derive(tr, kinematics.Options{StatureCM: 170}); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := kinematics.Trials(tr, kinematics.Options{StatureCM: 170}); err == nil {
			t.Errorf("%s: landings were looked for", name)
		}
	}
}
