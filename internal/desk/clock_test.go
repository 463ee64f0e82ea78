package desk

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/riverqueue/river"

	"steadfall/internal/archive"
)

// A clock that is set back by a day leaves jobs that are due tomorrow: one that waits for its
// first try, one for its second. Both are worked on at once.
func TestClockSetBack(t *testing.T) {
	s := serve(t)
	ctx := context.Background()
	tomorrow := &river.InsertOpts{ScheduledAt: time.Now().Add(24 * time.Hour)}
	pool, err := s.archive.Pool()
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	for _, state := range []string{"available", "retryable"} {
		file := strings.Repeat(state[:1], 32)
		take := archive.Take{Key: "key-of-" + state, Session: archive.Session{ID: 1}, Athlete: "Ash", Task: "drop-landing", Limb: "both", Wants: "front", By: "coach"}
		if err := s.archive.BeginUpload(ctx, take, archive.TakeFile{View: "front", File: file}); err != nil {
			t.Fatal(err)
		}
		takes, err := s.archive.Takes(ctx, 1)
		if err != nil {
			t.Fatal(err)
		}
		job, err := s.desk.queue.Insert(ctx, takeJob{takes[0].ID}, tomorrow)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := pool.ExecContext(ctx, "UPDATE river_job SET state = ? WHERE id = ?", state, job.Job.ID); err != nil {
			t.Fatal(err)
		}
		if err := s.desk.beginFarOff(ctx); err != nil {
			t.Fatal(err)
		}
		if take := s.finished(t); take.State != archive.Refused {
			t.Errorf("%s: the clip, which is not there, is %s", state, take.State)
		}
	}
}
