// Package earlier tests that an archive made by an earlier program opens and shows what it
// showed then.
package earlier

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"steadfall/internal/archive"
	"steadfall/internal/present"
	"steadfall/kinematics"
	"steadfall/report/export"
	"steadfall/report/landing"
	"steadfall/scoring"
)

// opened is a copy of the archive in testdata, opened. The program of 28 November 2026
// (commit 9edb9fd, tables of version 4) made it: two invented athletes, whose landings are
// simulated, seven trials, all that people can say of one, and a clip that waits to be scored.
// Beside it lie the tables and the standings that the same program wrote of it.
func opened(t *testing.T) *archive.Archive {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "squad")
	z, err := zip.OpenReader("testdata/squad.zip")
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	if err := os.CopyFS(dir, z); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(filepath.Join(dir, "squad.db"), 0o600); err != nil {
		t.Fatal(err)
	}
	a, err := archive.Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { a.Close() })
	return a
}

// same compares with what the earlier program wrote.
func same(t *testing.T, name string, got []byte) {
	t.Helper()
	want, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the earlier program wrote:\n%.2000s", name, got)
	}
}

// Every number and every finding of every trial.
func TestEarlierResults(t *testing.T) {
	ctx := context.Background()
	a := opened(t)
	kept, err := a.Records(ctx, "", 0, false, nil)
	if err != nil {
		t.Fatal(err)
	}
	var measures, findings bytes.Buffer
	if err := export.WriteMeasures(&measures, present.Records(kept)); err != nil {
		t.Fatal(err)
	}
	if err := export.WriteFindings(&findings, present.Records(kept)); err != nil {
		t.Fatal(err)
	}
	same(t, "measures.csv", measures.Bytes())
	same(t, "findings.csv", findings.Bytes())
	c, err := a.Check(ctx, nil)
	if err != nil || len(c.Problems) > 0 || c.Trials != 7 {
		t.Errorf("%+v, %v", c, err)
	}
}

// Where both athletes stand, and why.
func TestEarlierStandings(t *testing.T) {
	l, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		t.Fatal(err)
	}
	_, places, err := present.Squad(context.Background(), opened(t), l, "steadfall test")
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.MarshalIndent(places, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	same(t, "standings.json", append(text, '\n'))
}

// The settings that a trial was measured under, the points placed on it, and what was said
// when the clip that waits was filmed.
func TestEarlierSettings(t *testing.T) {
	ctx := context.Background()
	a := opened(t)
	all, err := a.Trials(ctx, "Ash", 0)
	if err != nil || len(all) != 5 {
		t.Fatal(all, err)
	}
	last := all[4]
	views, err := a.Views(ctx, last.ID)
	if err != nil || len(views) != 1 {
		t.Fatal(views, err)
	}
	want := kinematics.Options{
		Task: kinematics.DropLanding, Limb: kinematics.Both, StatureCM: 172, Length: &kinematics.KnownLength{CM: 30, X1: 100, Y1: 1200, X2: 250, Y2: 1200},
		CaptureFPS: 60, Mirrored: true, Plumb: &kinematics.Plumb{X1: 900, Y1: 200, X2: 904, Y2: 1100}, BoxCM: 30, SquareDeg: 1.5, Seed: 1,
	}
	if got := views[0].Options; !reflect.DeepEqual(got, want) {
		t.Errorf("settings %+v, want %+v", got, want)
	}
	placed, err := a.Placements(ctx, last.ID)
	if err != nil || len(placed) != 2 {
		t.Fatal(placed, err)
	}
	placed[0].Made = ""
	if want := (archive.Placed{View: kinematics.Front, Frame: 60, Landmark: "left_knee", X: 512.25, Y: 900.5, By: "Coach Reed"}); placed[0] != want {
		t.Errorf("placed %+v, want %+v", placed[0], want)
	}
	if state, _, err := a.Again(ctx, last.ID); err != nil || state != archive.AgainWaiting {
		t.Errorf("measured again: %q, %v", state, err)
	}
	if pics, err := a.Pictures(ctx, last.ID); err != nil || len(pics) != 1 || len(pics[0].Data) == 0 {
		t.Errorf("%d pictures, %v", len(pics), err)
	}
	takes, err := a.Takes(ctx, last.Session.ID)
	if err != nil || len(takes) != 1 {
		t.Fatal(takes, err)
	}
	if want := (archive.TakeOptions{BoxCM: 30, CaptureFPS: 240, Mirrored: true, Person: 2}); takes[0].Options != want || takes[0].State != archive.Uploading {
		t.Errorf("filmed with %+v, %s; want %+v", takes[0].Options, takes[0].State, want)
	}
}

// The report of the trial that a person looked over and signed.
func TestEarlierReport(t *testing.T) {
	ctx := context.Background()
	a := opened(t)
	all, err := a.Trials(ctx, "Ash", 0)
	if err != nil || len(all) != 5 {
		t.Fatal(all, err)
	}
	page, err := present.Trial(ctx, a, all[2].ID)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := landing.Write(&b, page); err != nil {
		t.Fatal(err)
	}
	// As the earlier program's report of it says; the knee's bend is the coach's word.
	for _, want := range []string{"2026-09-08", "Coach Reed", "seen by eye", "5.51 ± 0.98", "0.740 ± 0.011", "34.0 ± 2.8°", "53.3 ± 2.5°", "expected total 4.6 of 15"} {
		if !strings.Contains(strings.ToLower(b.String()), strings.ToLower(want)) {
			t.Errorf("the report does not say %q", want)
		}
	}
}
