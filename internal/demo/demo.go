// Package demo is the invented squad that `steadfall demo` scores from rendered clips.
// No person, club or gym in it is real.
package demo

import (
	"io/fs"
	"os"
	"path/filepath"

	"steadfall/internal/pipeline"
	"steadfall/kinematics"
	"steadfall/testdata/clips"
)

// Squad is the name of the invented squad.
const Squad = "Larkfield Lanterns, an invented squad"

// Athlete is one invented athlete and what they were filmed doing.
type Athlete struct {
	Name      string
	Task      kinematics.Task
	StatureCM float64
	Front     string // clip names without their ending; empty where not filmed
	Side      string
}

// Athletes are the squad.
var Athletes = []Athlete{
	{"Ash", kinematics.DropLanding, 176, "two_foot_steady_front", "two_foot_steady_side"},
	{"Birch", kinematics.DropLanding, 164, "two_foot_knee_in_front", "two_foot_knee_in_side"},
	{"Cedar", kinematics.DropLanding, 185, "one_foot_held_front", ""},
	{"Dogwood", kinematics.CountermovementJump, 183, "", "countermovement_jump_side"},
	{"Elm", kinematics.DropLanding, 168, "one_foot_lost_front", ""},
}

// Unpack writes the athlete's clips into a folder and returns the
// request that scores them.
func (a Athlete) Unpack(dir string) (pipeline.Request, error) {
	r := pipeline.Request{Task: a.Task, Limb: kinematics.Both, StatureCM: a.StatureCM}
	for _, v := range []struct {
		clip string
		to   *pipeline.Source
	}{{a.Front, &r.Front}, {a.Side, &r.Side}} {
		if v.clip == "" {
			continue
		}
		v.to.Clip = filepath.Join(dir, v.clip+".mp4")
		if err := copyOut(clips.Files, v.clip+".mp4", v.to.Clip); err != nil {
			return r, err
		}
	}
	return r, nil
}

func copyOut(from fs.FS, name, to string) error {
	data, err := fs.ReadFile(from, name)
	if err != nil {
		return err
	}
	return os.WriteFile(to, data, 0o644)
}
