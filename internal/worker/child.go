package worker

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"

	"steadfall/internal/trial"
	"steadfall/video"
)

// frameLongest is the longer side of the frames that are handed out, px.
const frameLongest = 960

// Child is the life of the child process: it fences itself in, reads one job from in, and
// answers on out. When in ends, so does the process: nobody waits for the answer.
func Child(ctx context.Context, in io.Reader, out io.Writer) error {
	if err := fence(); err != nil {
		b, _ := line(message{Unable: err.Error()}) // fails for no text
		_, _ = out.Write(b)
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
	go func() {
		_, _ = io.Copy(io.Discard, lines) // ends when the parent does
		os.Exit(1)
	}()
	say := func(m message) error {
		b, err := line(m)
		if err != nil {
			return err
		}
		_, err = out.Write(b)
		return err
	}
	last := message{Done: true}
	switch {
	case j.Score != nil:
		r := *j.Score
		r.Tell = func(stage string, done, total int) { _ = say(message{Stage: stage, Steps: done, Of: total}) }
		var all []trial.Outcome
		if all, err = trial.ScoreOnly(ctx, r); err == nil {
			last.Outcomes, err = packed(all)
		}
	default:
		err = video.Frames(ctx, j.Frames, frameLongest, func(frame int, jpeg []byte) error {
			return say(message{Frame: frame, JPEG: jpeg})
		})
	}
	if err != nil {
		last = message{Failed: err.Error(), Interrupted: errors.Is(err, context.Canceled)}
	}
	return say(last)
}
