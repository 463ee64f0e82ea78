package desk

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"path/filepath"
	"strings"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riversqlite"
	"github.com/riverqueue/river/rivermigrate"
	"github.com/riverqueue/river/rivertype"

	"steadfall/internal/archive"
	"steadfall/internal/intake"
	"steadfall/internal/worker"
)

// takeJob scores what was uploaded.
type takeJob struct {
	Take int64 `json:"take"`
}

func (takeJob) Kind() string { return "take" }

// againJob measures a trial again with the points that people placed.
type againJob struct {
	Trial int64 `json:"trial"`
}

func (againJob) Kind() string { return "again" }

// mostTries is how often a job is tried that the desk, not the clip, is to blame for.
const mostTries = 4

// staleAfter is when an upload that nobody went on with is thrown away.
const staleAfter = 7 * 24 * time.Hour

// Start opens the queue of jobs and begins to work it off, one clip at a time: placing
// points uses every core by itself. What a killed desk left undone is begun again. The
// desk is this archive's only one until stop is called.
func (d *Desk) Start(ctx context.Context) (stop func(), err error) {
	letGo, err := d.Archive.Claim()
	if err != nil {
		return nil, err
	}
	pool, err := d.Archive.Pool()
	if err != nil {
		letGo()
		return nil, err
	}
	undo := func() { pool.Close(); letGo() }
	if err := d.startQueue(ctx, pool); err != nil {
		undo()
		return nil, fmt.Errorf("the queue of the desk could not be opened: %w", err)
	}
	if err := d.clearUploads(ctx); err != nil {
		undo()
		return nil, err
	}
	watch, unwatch := context.WithCancel(context.WithoutCancel(ctx))
	go d.watchClock(watch)
	return func() {
		unwatch()
		end, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
		defer cancel()
		_ = d.queue.StopAndCancel(end) // what is cut off is begun again at the next start
		d.frames.empty()
		undo()
	}, nil
}

func (d *Desk) startQueue(ctx context.Context, pool *sql.DB) error {
	driver := riversqlite.New(pool)
	quiet := slog.New(slog.DiscardHandler)
	m, err := rivermigrate.New(driver, &rivermigrate.Config{Logger: quiet})
	if err != nil {
		return err
	}
	if _, err := m.Migrate(ctx, rivermigrate.DirectionUp, nil); err != nil {
		return err
	}
	// Only this desk works on the archive, so that whatever runs was cut off; that does not
	// count as a try.
	if _, err := pool.ExecContext(ctx, "UPDATE river_job SET state = 'available', attempt = 0 WHERE state IN ('running', 'retryable')"); err != nil {
		return err
	}
	// Who led the queue, by a clock that may have been set back since, is found out anew.
	if _, err := pool.ExecContext(ctx, "DELETE FROM river_leader"); err != nil {
		return err
	}
	workers := river.NewWorkers()
	river.AddWorker(workers, river.WorkFunc(d.workTake))
	river.AddWorker(workers, river.WorkFunc(d.workAgain))
	d.queue, err = river.NewClient(driver, &river.Config{
		Queues: map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: 1}}, Workers: workers,
		JobTimeout: -1, RetryPolicy: soon{}, MaxAttempts: mostTries, FetchPollInterval: time.Second, Logger: quiet,
		CompletedJobRetentionPeriod: time.Hour,
	})
	if err != nil {
		return err
	}
	return d.queue.Start(context.WithoutCancel(ctx))
}

// soon tries a job again after a few seconds: a coach waits for it.
type soon struct{}

func (soon) NextRetry(job *rivertype.JobRow) time.Time {
	return time.Now().Add(time.Duration(2*len(job.Errors)+1) * time.Second)
}

// farOff is further away than any job waits for its next try: the clock was set back.
const farOff = time.Minute

// watchClock begins jobs that a clock which was set back would let wait, and puts into the queue
// what is not there yet.
func (d *Desk) watchClock(ctx context.Context) {
	every := time.NewTicker(10 * time.Second)
	defer every.Stop()
	for {
		d.enqueue(ctx)
		if err := d.beginFarOff(ctx); err != nil && ctx.Err() == nil {
			d.Log.Error("the queue could not be looked at", "why", err.Error())
		}
		select {
		case <-ctx.Done():
			return
		case <-every.C:
		}
	}
}

func (d *Desk) beginFarOff(ctx context.Context) error {
	jobs, err := d.queue.JobList(ctx, river.NewJobListParams().States(rivertype.JobStateAvailable, rivertype.JobStateRetryable).First(10_000))
	if err != nil {
		return err
	}
	for _, j := range jobs.Jobs {
		if time.Until(j.ScheduledAt) <= farOff {
			continue
		}
		if _, err := d.queue.JobRetry(ctx, j.ID); err != nil && !errors.Is(err, rivertype.ErrNotFound) {
			return err
		}
	}
	return nil
}

// clearUploads finishes uploads whose last answer was cut off and throws away those that
// were left.
func (d *Desk) clearUploads(ctx context.Context) error {
	infos, err := filepath.Glob(filepath.Join(d.Archive.Incoming(), "*.info"))
	if err != nil {
		return err
	}
	for _, info := range infos {
		if err := d.endIfWhole(ctx, strings.TrimSuffix(filepath.Base(info), ".info")); err != nil && !errors.Is(err, fs.ErrNotExist) {
			d.Log.Warn("an upload could not be finished", "why", err.Error())
		}
	}
	stale, err := d.Archive.StaleUploads(ctx, time.Now().UTC().Add(-staleAfter).Format(time.RFC3339))
	if err != nil {
		return err
	}
	for _, id := range stale {
		if err := d.Archive.DropTake(ctx, id); err != nil {
			return err
		}
	}
	return nil
}

// enqueue puts what the archive has to be worked on into the queue. Cut off between the two, a
// job is put there twice, and the second finds nothing to do. What could not be put there is once
// the clock is looked at again.
func (d *Desk) enqueue(ctx context.Context) {
	if err := d.enqueueAll(ctx); err != nil && ctx.Err() == nil {
		d.Log.Error("a job could not be put into the queue", "why", err.Error())
	}
}

func (d *Desk) enqueueAll(ctx context.Context) error {
	d.queueing.Lock()
	defer d.queueing.Unlock()
	todo, err := d.Archive.ToDo(ctx)
	if err != nil {
		return err
	}
	for _, t := range todo {
		var job river.JobArgs = takeJob{t.Take}
		if t.Trial != 0 {
			job = againJob{t.Trial}
		}
		if _, err := d.queue.Insert(ctx, job, nil); err != nil {
			return err
		}
		if err := d.Archive.Queued(ctx, t); err != nil {
			return err
		}
	}
	return nil
}

// workTake scores a take. An error is returned only where trying again may help.
func (d *Desk) workTake(ctx context.Context, job *river.Job[takeJob]) error {
	t, err := d.Archive.Take(ctx, job.Args.Take)
	if errors.Is(err, archive.ErrNoEntry) {
		return nil // deleted meanwhile
	}
	if err != nil {
		return err
	}
	if t.State == archive.ScoredOK || t.State == archive.NeedsLook {
		return nil // done before the desk was cut off
	}
	defer d.news.tell(sessionTopic(t.Session.ID))
	err = d.score(ctx, t)
	return d.afterJob(ctx, job.Attempt, err, func(why string) error {
		return d.Archive.SetTake(ctx, t.ID, archive.Refused, why)
	})
}

// errAgain is all that the queue keeps of what went wrong: the words may hold what an
// athlete is called, and would outlive them.
var errAgain = errors.New("to be tried again; the desk has written why to its log")

// afterJob decides what becomes of a job that failed.
func (d *Desk) afterJob(ctx context.Context, attempt int, err error, refuse func(why string) error) error {
	var no *worker.Refused
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil:
		return err // the desk stops; the job is begun again
	case errors.As(err, &no):
		return refuse(no.Why)
	}
	d.Log.Error("a clip could not be worked on", "attempt", attempt, "why", err.Error())
	if attempt < mostTries {
		return errAgain
	}
	return refuse("something went wrong at the desk; try again, and tell who looks after it")
}

// stateOf notes how far a take has come and tells those who look on.
func (d *Desk) stateOf(ctx context.Context, t archive.Take, s archive.TakeState) error {
	err := d.Archive.SetTake(ctx, t.ID, s, "")
	d.news.tell(sessionTopic(t.Session.ID))
	return err
}

// progress tells how far the placing of points has come, in tenths.
func (d *Desk) progress(ctx context.Context, t archive.Take) func(stage string, done, total int) {
	placing, told := false, -1
	return func(stage string, done, total int) {
		if !placing && strings.HasPrefix(stage, "placing") {
			placing = true
			_ = d.stateOf(ctx, t, archive.Placing) // the state alone; the work goes on
		}
		if total > 0 && 10*done/total != told {
			told = 10 * done / total
			d.setShare(t.ID, 10*told)
			d.news.tell(sessionTopic(t.Session.ID))
		}
	}
}

// setShare and shareOf are how much of a take's points are placed, per cent.
func (d *Desk) setShare(take int64, percent int) {
	d.lock.Lock()
	defer d.lock.Unlock()
	if percent >= 100 {
		delete(d.shares, take)
		return
	}
	d.shares[take] = percent
}

func (d *Desk) shareOf(take int64) int {
	d.lock.Lock()
	defer d.lock.Unlock()
	return d.shares[take]
}

// workAgain measures a trial again with the points that people placed.
func (d *Desk) workAgain(ctx context.Context, job *river.Job[againJob]) error {
	id := job.Args.Trial
	state, _, err := d.Archive.Again(ctx, id)
	if err != nil || state == "" {
		return err // deleted, or done before the desk was cut off
	}
	defer d.news.tell(trialTopic(id))
	if err := d.Archive.SetAgain(ctx, id, archive.AgainPlacing, ""); err != nil {
		return err
	}
	d.news.tell(trialTopic(id))
	err = plainly(intake.Correct(ctx, d.Archive, d.Worker.Score, id, d.Tool), nil)
	return d.afterJob(ctx, job.Attempt, err, func(why string) error {
		return d.Archive.SetAgain(ctx, id, archive.AgainFailed, why)
	})
}
