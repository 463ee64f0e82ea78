package season_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"steadfall/internal/pipeline"
	"steadfall/internal/season"
	"steadfall/kinematics"
)

// Every kind of trial that a season invents can be measured, and lands on the feet that its
// name says.
func TestEveryTrialCanBeMeasured(t *testing.T) {
	s := season.Season{Athletes: 2, First: time.Date(2026, 9, 5, 0, 0, 0, 0, time.UTC), FPS: 60}
	dir := t.TempDir()
	tasks := append([]season.Task{{Task: kinematics.SquatJump, Limb: kinematics.Both, Trials: 1}, {Task: kinematics.RepeatedJumps, Limb: kinematics.Both, Trials: 1}}, season.Fixed...)
	n, err := s.Write(dir, 1, 0, tasks)
	if err != nil || n != 14 {
		t.Fatal(n, err)
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		task, limb := strings.Split(f.Name(), "_")[1], kinematics.Both
		for _, side := range []kinematics.Side{kinematics.Left, kinematics.Right} {
			if strings.Contains(f.Name(), "_"+string(side)+"_") {
				limb = side
			}
		}
		// The result names the leg landed on, whether it was asked for or not.
		for _, asked := range slices.Compact([]kinematics.Side{limb, kinematics.Both}) {
			source, err := pipeline.Files{Track: filepath.Join(dir, f.Name())}.Read(true)
			if err != nil {
				t.Fatal(err)
			}
			all, err := pipeline.Run(t.Context(), pipeline.Request{Front: source, Task: kinematics.Task(task), Limb: asked, StatureCM: s.People()[1].HeightCM})
			if err != nil {
				t.Errorf("%s: %v", f.Name(), err)
				continue
			}
			if len(all) != 1 || all[0].Result.Limb != limb {
				t.Errorf("%s: %d landings, on %s", f.Name(), len(all), all[0].Result.Limb)
			}
			if _, ok := all[0].Result.Surest("jump_height"); kinematics.Task(task).Jumps() != ok {
				t.Errorf("%s: jump height %v", f.Name(), ok)
			}
		}
	}
}
