// Package worker does what touches clips, decoding, placing and drawing, in a child process of
// its own, for the desk and for the command line. The child limits its memory, its time and its open files,
// writes no files and has no network; whatever a clip does to it ends in a plain sentence.
package worker

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"syscall"
	"time"

	"steadfall/internal/pipeline"
	"steadfall/kinematics"
	"steadfall/video"
)

// Worker starts children.
type Worker struct {
	Command []string      // that runs Child; empty: this program with the word worker
	Wall    time.Duration // a child may take; 0 for wallTime
	Silence time.Duration // it may say nothing; 0 for silence
	Patient bool          // it may take as long as it says how far it is: somebody watches
	Moans   io.Writer     // is told what the child wrote to its standard error, once it has ended; may be nil
}

const (
	wallTime   = 20 * time.Minute // twice the length of the longest clip that people film
	silence    = 3 * time.Minute  // every frame is a message
	mostOutput = 512 << 20        // bytes a child may answer
	mostLine   = 128 << 20        // of one message, the outcome of a landing
)

// Why a child was given up.
var (
	errSlow   = errors.New("too slow")
	errSilent = errors.New("silent")
)

// Score is pipeline.Run in a child. Its error is a *Refused when the clip is at fault.
func (w Worker) Score(ctx context.Context, r pipeline.Request) ([]pipeline.Outcome, error) {
	tell := r.Tell
	r.Tell = nil
	var out []outcome
	err := w.run(ctx, job{Score: &r}, func(m message) error {
		if m.Stage != "" && tell != nil {
			tell(m.Stage, m.Steps, m.Of)
		}
		if m.Outcome != nil {
			out = append(out, *m.Outcome)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	all, err := unpacked(out)
	if err == nil {
		err = pipeline.Finish(ctx, all, tell)
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, &Refused{Why: "the clip gave a result that does not hold together; film it again"}
	}
	return all, nil
}

// Track is Points.Place in a child; the track comes as CSV.
func (w Worker) Track(ctx context.Context, p pipeline.Points, s pipeline.Source, view kinematics.View, tell func(stage string, done, total int)) (track []byte, said []kinematics.Note, err error) {
	err = w.run(ctx, job{Track: &tracking{p, s, view}}, func(m message) error {
		if m.Stage != "" && tell != nil {
			tell(m.Stage, m.Steps, m.Of)
		}
		track, said = append(track, m.Track...), append(said, m.Notes...)
		return nil
	})
	return track, said, err
}

// Inspect is video.Inspect in a child.
func (w Worker) Inspect(ctx context.Context, clip string, task kinematics.Task, tell func(stage string, done, total int)) (r video.Report, err error) {
	err = w.run(ctx, job{Inspect: &inspecting{clip, task}}, func(m message) error {
		if m.Stage != "" && tell != nil {
			tell(m.Stage, m.Steps, m.Of)
		}
		if m.Report != nil {
			r = *m.Report
		}
		return nil
	})
	return r, err
}

// Frames hands out the frames of a clip, small, as JPEG.
func (w Worker) Frames(ctx context.Context, clip string, each func(frame int, jpeg []byte) error) error {
	return w.run(ctx, job{Frames: clip}, func(m message) error {
		if len(m.JPEG) == 0 {
			return nil
		}
		return each(m.Frame, m.JPEG)
	})
}

// run gives one job to a child and hears its messages until the last.
func (w Worker) run(ctx context.Context, j job, hear func(message) error) error {
	j.Patient = w.Patient
	text, err := json.Marshal(j)
	if err != nil {
		return err
	}
	command := w.Command
	if len(command) == 0 {
		self, err := os.Executable()
		if err != nil {
			return err
		}
		command = []string{self, "worker"}
	}
	wall, still := cmp.Or(w.Wall, wallTime), cmp.Or(w.Silence, silence)
	limited, giveUp := context.WithCancelCause(ctx)
	defer giveUp(nil)
	if !w.Patient {
		defer time.AfterFunc(wall, func() { giveUp(errSlow) }).Stop()
	}
	silent := time.AfterFunc(still, func() { giveUp(errSilent) })
	defer silent.Stop()
	cmd := exec.CommandContext(limited, command[0], command[1:]...)
	cmd.Env = environment()
	cmd.WaitDelay = time.Second
	var moan tail
	cmd.Stderr = &moan
	in, err := cmd.StdinPipe() // stays open: the child ends with this process
	if err != nil {
		return err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("the worker could not be started: %w", err)
	}
	if _, err := in.Write(append(text, '\n')); err != nil {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		return fmt.Errorf("the worker could not be given its job: %w", err)
	}
	last, err := listen(out, func(m message) error {
		silent.Stop() // however long it takes to hear
		defer silent.Reset(still)
		return hear(m)
	})
	var ended error
	if mute := err == nil && !last.Done && last.Failed == "" && last.Unable == ""; mute && !lastsOn(out) {
		ended = cmd.Wait() // it has ended by itself, and how says why
	} else {
		_ = cmd.Process.Kill() // it has nothing more to say
		_ = cmd.Wait()
	}
	if w.Moans != nil {
		_, _ = w.Moans.Write(moan.Bytes())
	}
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case last.Done && err == nil:
		return nil
	case context.Cause(limited) == errSilent:
		return &Refused{Why: fmt.Sprintf("reading the clip stood still for %s and was given up; copy it from the phone again, or cut it to the landing", still)}
	case context.Cause(limited) == errSlow:
		return &Refused{Why: fmt.Sprintf("the clip was not done after %s and was given up; cut it to the landing", wall)}
	case err != nil:
		return err
	case last.Unable != "":
		return fmt.Errorf("no clip can be read on this machine: %s", last.Unable)
	case last.Interrupted:
		return context.Canceled
	case last.Failed != "":
		return last.refused()
	case killed(ended):
		return errors.New("the worker was killed from outside")
	}
	return &Refused{Why: crashWords(moan.String(), ended, w.Patient)}
}

// listen hears a child's messages until it has said its last or its output ends. What is
// no message ends it too.
func listen(out io.Reader, hear func(message) error) (last message, err error) {
	lines := bufio.NewScanner(io.LimitReader(out, mostOutput))
	lines.Buffer(make([]byte, 64<<10), mostLine)
	for lines.Scan() {
		var m message
		if json.Unmarshal(lines.Bytes(), &m) != nil {
			return message{}, nil
		}
		if err := hear(m); err != nil {
			return message{}, err
		}
		if m.Done || m.Failed != "" || m.Unable != "" {
			return m, nil
		}
	}
	return message{}, nil
}

// lastsOn reports whether a child that no longer makes sense still speaks.
func lastsOn(out io.Reader) bool {
	n, _ := out.Read(make([]byte, 1))
	return n > 0
}

// killed reports whether somebody killed the child: the system, short of memory, or a
// person. The clip is not to blame.
func killed(ended error) bool {
	var exit *exec.ExitError
	if !errors.As(ended, &exit) {
		return false
	}
	status, ok := exit.Sys().(syscall.WaitStatus)
	return ok && status.Signaled() && status.Signal() == syscall.SIGKILL
}

// crashWords say why a child ended without a last message.
func crashWords(moan string, ended error, patient bool) string {
	for _, sign := range []string{"out of memory", "bad_alloc", "Insufficient memory", "cannot allocate"} {
		if bytes.Contains([]byte(moan), []byte(sign)) {
			return "the clip needs more memory than one may take and was given up; film at 1080p, and copy it from the phone again"
		}
	}
	var exit *exec.ExitError
	if !patient && errors.As(ended, &exit) && exit.ProcessState.SystemTime()+exit.ProcessState.UserTime() > (mostCPU-5)*time.Second {
		return "the clip took too much computing and was given up; cut it to the landing"
	}
	return "the clip broke the reading of it: the file is damaged; copy it from the phone again, or film again"
}

// environment is what a child needs to find the nets, and nothing else.
func environment() []string {
	var env []string
	for _, name := range []string{"HOME", "XDG_CACHE_HOME", "STEADFALL_NETS", "LD_LIBRARY_PATH"} {
		if v, ok := os.LookupEnv(name); ok {
			env = append(env, name+"="+v)
		}
	}
	return env
}

// tail keeps the first of what a child says on its way out.
type tail struct{ bytes.Buffer }

func (t *tail) Write(p []byte) (int, error) {
	if room := 16<<10 - t.Len(); room > 0 {
		t.Buffer.Write(p[:min(room, len(p))])
	}
	return len(p), nil
}
