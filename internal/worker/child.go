package worker

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"

	"steadfall/internal/notes"
	"steadfall/internal/pipeline"
	"steadfall/kinematics"
	"steadfall/video"
)

// frameLongest is the longer side of the frames that are handed out, px.
const frameLongest = 960

// trackPiece is how much of a track goes into one message, bytes.
const trackPiece = 1 << 20

// Child is the life of the child process: it takes one job from in, which its parent gives,
// fences itself in, and answers on out. When in ends, so does the process: nobody waits for
// the answer.
func Child(ctx context.Context, in io.Reader, out io.Writer) error {
	say := func(m message) error {
		b, err := line(m)
		if err != nil {
			return err
		}
		_, err = out.Write(b)
		return err
	}
	lines := bufio.NewReader(in)
	text, err := lines.ReadBytes('\n')
	if err != nil {
		return err
	}
	var j job
	if err := json.Unmarshal(text, &j); err != nil {
		return err
	}
	if err := fence(j.Patient); err != nil {
		_ = say(message{Unable: err.Error()})
		return err
	}
	go func() {
		_, _ = io.Copy(io.Discard, lines) // ends when the parent does
		os.Exit(1)
	}()
	last := message{Done: true}
	if err := j.do(ctx, say); err != nil {
		last = message{Failed: err.Error(), Interrupted: errors.Is(err, context.Canceled)}
		var why *notes.Error
		if errors.As(err, &why) {
			last.Why, last.File = why.Notes, why.File
		}
	}
	return say(last)
}

// do does the job and says what it gives.
func (j job) do(ctx context.Context, say func(message) error) error {
	tell := func(stage string, done, total int) { _ = say(message{Stage: stage, Steps: done, Of: total}) }
	switch {
	case j.Score != nil:
		r := *j.Score
		r.Tell = tell
		all, err := pipeline.RunFenced(ctx, r)
		if err != nil {
			return err
		}
		for _, o := range all {
			if err := say(message{Outcome: packed(o)}); err != nil {
				return err
			}
		}
		return nil
	case j.Track != nil:
		stage := "placing the points in " + filepath.Base(j.Track.Source.Clip)
		t, said, err := j.Track.Points.Place(ctx, j.Track.Source, j.Track.View, func(done, total int) { tell(stage, done, total) })
		if err != nil {
			return err
		}
		b := bufio.NewWriterSize(pieces(say), trackPiece)
		if err := kinematics.WriteTrack(b, t); err != nil {
			return err
		}
		if err := b.Flush(); err != nil {
			return err
		}
		return say(message{Notes: said})
	case j.Inspect != nil:
		stage := "reading " + filepath.Base(j.Inspect.Clip)
		r, err := video.Inspect(ctx, j.Inspect.Clip, j.Inspect.Task, func(done, total int) { tell(stage, done, total) })
		if err != nil {
			return err
		}
		return say(message{Report: &r})
	}
	return video.Frames(ctx, j.Frames, frameLongest, func(frame int, jpeg []byte) error {
		return say(message{Frame: frame, JPEG: jpeg})
	})
}

// pieces says a track piece by piece.
type pieces func(message) error

func (p pieces) Write(b []byte) (int, error) { return len(b), p(message{Track: b}) }
