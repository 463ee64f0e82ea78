package archive_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"steadfall/internal/archive"
	"steadfall/kinematics"
)

// Two phones film one landing: their clips come to one take, whichever is first, and work
// on it begins when both are there.
func TestTwoPhonesFilmOneLanding(t *testing.T) {
	ctx := context.Background()
	a, _, s := newArchive(t, archive.Athlete{Code: "Ash"})
	take := func(key string) archive.Take {
		return archive.Take{Key: key, Session: s, Athlete: "Ash", Task: kinematics.DropLanding, Limb: kinematics.Both, Wants: "both", By: "Reed"}
	}
	for i, v := range []archive.TakeFile{{View: "front", File: "f1"}, {View: "front", File: "f2"}, {View: "side", File: "s1"}, {View: "side", File: "s2"}} {
		if err := a.BeginUpload(ctx, take(v.File), v); err != nil {
			t.Fatal(err)
		}
		if _, err := a.EndUpload(ctx, v.File); err != nil {
			t.Fatal(err)
		}
		if todo, err := a.ToDo(ctx); err != nil || len(todo) != max(0, i-1) {
			t.Errorf("after %s %d takes are to be worked on, want %d, %v", v.File, len(todo), max(0, i-1), err)
		}
	}
	takes, err := a.Takes(ctx, s.ID)
	if err != nil || len(takes) != 2 || takes[1].Files[0].File != "f1" || takes[1].Files[1].File != "s1" {
		t.Errorf("%+v, %v", takes, err)
	}
	if err := a.BeginUpload(ctx, take("f1"), archive.TakeFile{View: "front", File: "f3"}); !errors.Is(err, archive.ErrUploaded) {
		t.Errorf("the same clip again: %v", err)
	}
}

// A take that is scored stays so.
func TestAScoredTakeStays(t *testing.T) {
	ctx := context.Background()
	a, _, s := newArchive(t, archive.Athlete{Code: "Ash"})
	take := archive.Take{Key: "k", Session: s, Athlete: "Ash", Task: kinematics.DropLanding, Limb: kinematics.Both, Wants: "front", By: "Reed"}
	if err := a.BeginUpload(ctx, take, archive.TakeFile{View: "front", File: "f"}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(a.Incoming(), "f"), []byte("a clip"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := a.EndUpload(ctx, "f"); err != nil {
		t.Fatal(err)
	}
	r := landing(t, 14)
	r.Trial.Athlete, r.Trial.Session, r.Trial.Number = "Ash", s, 1
	if _, err := a.AddTake(ctx, 1, "", r); err != nil {
		t.Fatal(err)
	}
	if err := a.SetTake(ctx, 1, archive.Refused, "late"); err != nil {
		t.Fatal(err)
	}
	got, err := a.Take(ctx, 1)
	if err != nil || got.State != archive.ScoredOK || len(got.Trials) != 1 || len(got.Files) != 0 {
		t.Errorf("%+v, %v", got, err)
	}
	if _, err := os.Stat(filepath.Join(a.Incoming(), "f")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the uploaded file is left: %v", err)
	}
	if err := a.DropTake(ctx, 1); err == nil {
		t.Error("a take that gave a trial was taken away")
	}
}

// New points replace track and pictures, keep the old result and end a signature.
func TestPlacedPointsReplaceATrack(t *testing.T) {
	ctx := context.Background()
	a, _, s := newArchive(t, archive.Athlete{Code: "Ash"})
	r := landing(t, 14)
	id := add(t, a, r, "Ash", s, 1)
	if err := a.Sign(ctx, id, "Reed"); err != nil {
		t.Fatal(err)
	}
	p := archive.Placed{View: r.Views[0].Track.View, Frame: 9, Landmark: "left_knee", X: 1, Y: 2}
	for range 2 { // the second joins the job that waits
		if err := a.Correct(ctx, id, []archive.Placed{p}, nil, "Reed"); err != nil {
			t.Fatal(err)
		}
	}
	todo, err := a.ToDo(ctx)
	if err != nil || len(todo) != 1 || todo[0].Trial != id {
		t.Fatal(todo, err)
	}
	if state, _, err := a.Again(ctx, id); err != nil || state != archive.AgainWaiting {
		t.Errorf("%s, %v", state, err)
	}
	if err := a.Queued(ctx, todo[0]); err != nil {
		t.Fatal(err)
	}
	if err := a.SetAgain(ctx, id, archive.AgainPlacing, ""); err != nil {
		t.Fatal(err)
	}
	r.Views[0].Points = "corrected by hand on 1 frames"
	if err := a.Replace(ctx, id, r); err != nil {
		t.Fatal(err)
	}
	views, err := a.Views(ctx, id)
	if err != nil || views[0].Points != r.Views[0].Points {
		t.Errorf("%v, %v", views[0].Points, err)
	}
	results, err := a.Results(ctx, id)
	if err != nil || len(results) != 2 {
		t.Errorf("%d results, %v", len(results), err)
	}
	if signed, err := a.SignedBy(ctx, id); err != nil || signed != nil {
		t.Errorf("still signed: %v, %v", signed, err)
	}
	if state, _, err := a.Again(ctx, id); err != nil || state != "" {
		t.Errorf("still to be measured again: %s, %v", state, err)
	}
}

// Whoever looks at a trial while new points replace its pictures sees the old ones or the
// new ones.
func TestPicturesWhileTheyAreReplaced(t *testing.T) {
	ctx := context.Background()
	a, _, s := newArchive(t, archive.Athlete{Code: "Ash"})
	r := landing(t, 14)
	r.Pictures = []archive.Picture{{View: kinematics.Front, Moment: "contact", Data: []byte("picture")}}
	id := add(t, a, r, "Ash", s, 1)
	done := make(chan error)
	go func() {
		var err error
		for i := 0; i < 30 && err == nil; i++ {
			r.Pictures[0].Data = fmt.Appendf(nil, "picture %d", i)
			err = a.Replace(ctx, id, r)
		}
		done <- err
	}()
	for {
		if all, err := a.Pictures(ctx, id); err != nil || len(all) != 1 {
			t.Fatalf("%d pictures, %v", len(all), err)
		}
		select {
		case err := <-done:
			if err != nil {
				t.Fatal(err)
			}
			return
		default:
		}
	}
}
