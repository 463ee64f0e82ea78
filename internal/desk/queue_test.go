package desk

import (
	"context"
	"strings"
	"testing"

	"steadfall/internal/archive"
)

// A desk that dies once a clip is noted, and before its job is in the queue, puts it there when it
// is up again.
func TestWhatWasNotQueuedYet(t *testing.T) {
	s := serve(t)
	ctx := context.Background()
	file := strings.Repeat("c", 32)
	take := archive.Take{Key: "key-of-a-phone", Session: archive.Session{ID: 1}, Athlete: "Ash", Task: "drop-landing", Limb: "both", Wants: "front", By: "coach"}
	if err := s.archive.BeginUpload(ctx, take, archive.TakeFile{View: "front", File: file}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.archive.EndUpload(ctx, file); err != nil {
		t.Fatal(err)
	}
	s.desk.enqueue(ctx)
	if take := s.finished(t); take.State != archive.Refused {
		t.Errorf("the clip, which is not there, is %s", take.State)
	}
	if todo, err := s.archive.ToDo(ctx); err != nil || len(todo) > 0 {
		t.Errorf("still to be queued: %+v, %v", todo, err)
	}
}
