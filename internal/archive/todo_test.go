package archive

import (
	"context"
	"path/filepath"
	"testing"

	"steadfall/kinematics"
)

// A clip that is kept is to be worked on: both are noted or neither, and what is deleted is not
// to be worked on any more.
func TestATakeAndItsWorkAreOne(t *testing.T) {
	ctx := context.Background()
	a, err := Create(ctx, filepath.Join(t.TempDir(), "squad"), Squad{Name: "Larkfield Lanterns", Invented: true})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	if _, err := a.Put(ctx, Athlete{Code: "Ash"}); err != nil {
		t.Fatal(err)
	}
	s, err := a.EnsureSession(ctx, Session{Date: "2026-09-01"})
	if err != nil {
		t.Fatal(err)
	}
	take := Take{Key: "k", Session: s, Athlete: "Ash", Task: kinematics.DropLanding, Limb: kinematics.Both, Wants: "front", By: "Reed"}
	if err := a.BeginUpload(ctx, take, TakeFile{View: "front", File: "f"}); err != nil {
		t.Fatal(err)
	}
	if _, err := a.db.ExecContext(ctx, "CREATE TRIGGER full BEFORE INSERT ON todo BEGIN SELECT RAISE(ABORT, 'full'); END"); err != nil {
		t.Fatal(err)
	}
	if _, err := a.EndUpload(ctx, "f"); err == nil {
		t.Fatal("the clip was kept without its work")
	}
	if whole, err := a.Whole(ctx, "f"); err != nil || whole {
		t.Errorf("without its work the clip counts as kept: %v", err)
	}
	if _, err := a.db.ExecContext(ctx, "DROP TRIGGER full"); err != nil {
		t.Fatal(err)
	}
	if _, err := a.EndUpload(ctx, "f"); err != nil {
		t.Fatal(err)
	}
	if todo, err := a.ToDo(ctx); err != nil || len(todo) != 1 || todo[0].Take != 1 || todo[0].Trial != 0 {
		t.Errorf("%+v, %v", todo, err)
	}
	if _, err := a.Delete(ctx, "Ash"); err != nil {
		t.Fatal(err)
	}
	if todo, err := a.ToDo(ctx); err != nil || len(todo) != 0 {
		t.Errorf("after the deletion %+v, %v", todo, err)
	}
}
