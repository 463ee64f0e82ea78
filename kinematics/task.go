package kinematics

import (
	"fmt"
	"slices"
	"strings"
)

// Task is what the athlete was asked to do.
type Task string

// The tasks, in the trade's words.
const (
	SnapDown            Task = "snap-down"
	DropLanding         Task = "drop-landing"
	DropJump            Task = "drop-jump"
	SquatJump           Task = "squat-jump"
	CountermovementJump Task = "countermovement-jump"
	RepeatedJumps       Task = "repeated-jumps"
)

// traits are what a task asks for, as far as measuring depends on it.
type traits struct {
	task     Task
	grounded bool // the feet need not leave the floor: the athlete pulls down from tall
	fromBox  bool // the athlete steps off a box
	jumps    bool // there is a jump off the floor
	rebounds bool // that jump follows the landing, which is the first
	set      bool // the jumps go on, each from the landing before
	sinks    bool // the push follows a countermovement
	waits    bool // the push follows a hold at the bottom
}

// tasks are all of them, in the order an athlete meets them.
var tasks = []traits{
	{task: SnapDown, grounded: true},
	{task: DropLanding, fromBox: true},
	{task: DropJump, fromBox: true, jumps: true, rebounds: true},
	{task: SquatJump, jumps: true, waits: true},
	{task: CountermovementJump, jumps: true, sinks: true},
	{task: RepeatedJumps, jumps: true, rebounds: true, set: true},
}

// Tasks lists all tasks in the order an athlete meets them.
var Tasks = names(tasks)

func names(all []traits) (out []Task) {
	for _, t := range all {
		out = append(out, t.task)
	}
	return out
}

// traits are those of the task; a task there is not has none.
func (t Task) traits() traits {
	if i := slices.Index(Tasks, t); i >= 0 {
		return tasks[i]
	}
	return traits{}
}

// ParseTask returns the task of that name.
func ParseTask(name string) (Task, error) {
	if slices.Contains(Tasks, Task(name)) {
		return Task(name), nil
	}
	var all []string
	for _, t := range Tasks {
		all = append(all, string(t))
	}
	last := len(all) - 1
	return "", fmt.Errorf("unknown task %q; the tasks are %s and %s", name, strings.Join(all[:last], ", "), all[last])
}

// Jumps reports whether the task holds a jump off the floor, so that a flight
// time and a jump height can be told.
func (t Task) Jumps() bool { return t.traits().jumps }

// Grounded reports whether the feet need not leave the floor in it, so that no landing tells one trial
// from the next.
func (t Task) Grounded() bool { return t.traits().grounded }

// What a measure may ask of the task that it is told in.
func (t Task) rebounds() bool { return t.traits().rebounds }
func (t Task) sinks() bool    { return t.traits().sinks }
func (t Task) waits() bool    { return t.traits().waits }
