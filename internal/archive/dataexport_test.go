package archive

import (
	"archive/zip"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"steadfall/internal/simulated"
	"steadfall/internal/testkit/scored"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// Whatever table leads to an athlete, the athlete's export holds as many of its rows as the
// archive; a table that is added later and forgotten here fails. Files come along byte for
// byte, and tracks can be measured again.
func TestExportOfAnAthleteIsComplete(t *testing.T) {
	ctx := context.Background()
	a, err := Create(ctx, filepath.Join(t.TempDir(), "squad"), Squad{Name: "Larkfield Lanterns", Invented: true})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	if _, err := a.Put(ctx, Athlete{Code: "Ash", HeightCM: 172, Consent: &Consent{Given: true, Date: "2026-08-01", By: "the athlete"}}, Athlete{Code: "Birch"}); err != nil {
		t.Fatal(err)
	}
	if err := a.SetConsent(ctx, "Ash", Consent{Given: false, Date: "2026-10-01", By: "the athlete"}); err != nil {
		t.Fatal(err)
	}
	s, err := a.EnsureSession(ctx, Session{Date: "2026-09-01"})
	if err != nil {
		t.Fatal(err)
	}
	clip := filepath.Join(t.TempDir(), "c.mp4")
	if err := os.WriteFile(clip, []byte("a clip"), 0o600); err != nil {
		t.Fatal(err)
	}
	l := scored.Simulate(t, simulated.Landing{View: kinematics.Front, FPS: 60, StatureCM: 172, PxPerCM: 5, BoxCM: 30, DepthCM: 20, HoldS: 3, SD: 1.5}, nil)
	ids, err := a.Add(ctx, Recording{
		Trial:  Trial{Athlete: "Ash", Session: s, Task: l.Options.Task, Limb: l.Options.Limb, Number: 1},
		Views:  []View{{Hash: hashOf([]byte("a clip")), Clip: clip, Points: "simulated", Track: l.Track, Options: l.Options}},
		Result: l.Result, Checklist: l.Checklist,
		Pictures: []Picture{{View: kinematics.Front, Moment: "contact", Data: []byte("a picture")}},
	})
	if err != nil {
		t.Fatal(err)
	}
	tri, err := a.Trial(ctx, ids[0])
	if err != nil {
		t.Fatal(err)
	}
	other, err := scoring.Load("padua-2009")
	if err != nil {
		t.Fatal(err)
	}
	lists, err := a.KeepChecklists(ctx, other)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.AddScores(ctx, "steadfall test", []NewScore{{Measurement: 1, Checklist: lists[0], Score: l.Result.Score}}); err != nil {
		t.Fatal(err)
	}
	pain, yes := 1, true
	if err := a.Attend(ctx, s, "Ash", Attendance{Pain: &pain}); err != nil {
		t.Fatal(err)
	}
	if err := a.NotePainOver(ctx, "Ash", PainOver{Date: s.Date, By: "Reed"}); err != nil {
		t.Fatal(err)
	}
	if err := a.Decide(ctx, "Ash", Decision{Step: "one-foot-drop", Reason: "steady", By: "Coach"}); err != nil {
		t.Fatal(err)
	}
	if err := a.Rate(ctx, []Rating{{Blind: tri.Blind, Rater: "R1", Checklist: "two-foot-landing", Item: "stiff", Side: kinematics.Left, Error: &yes}}); err != nil {
		t.Fatal(err)
	}
	if err := a.Override(ctx, ids[0], scoring.Override{Item: "stiff", Side: kinematics.Both, Finding: scoring.Clear, Reason: "seen by eye", By: "Coach"}); err != nil {
		t.Fatal(err)
	}
	if err := a.Sign(ctx, ids[0], "Coach"); err != nil {
		t.Fatal(err)
	}
	if _, err := a.NewShare(ctx, "Ash", "Coach", time.Now().Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	if err := a.Audit(ctx, "Coach", "looked at the page", "Ash"); err != nil {
		t.Fatal(err)
	}
	if err := a.Correct(ctx, ids[0], []Placed{{View: kinematics.Front, Frame: 9, Landmark: "left_knee", X: 1, Y: 2}}, nil, "Coach"); err != nil {
		t.Fatal(err)
	}
	take := Take{Key: "k", Session: s, Athlete: "Ash", Task: kinematics.DropLanding, Limb: kinematics.Both, Wants: "front", By: "Coach"}
	if err := a.BeginUpload(ctx, take, TakeFile{View: "front", File: "f"}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(a.Incoming(), "f"), []byte("a clip to come"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := a.EndUpload(ctx, "f"); err != nil {
		t.Fatal(err)
	}
	if _, err := a.db.ExecContext(ctx, "INSERT INTO take_trial VALUES (?, 1)", ids[0]); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Backup(ctx, filepath.Join(t.TempDir(), "b.zip"), nil); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "ash.zip")
	if missing, err := a.ExportAthlete(ctx, "Ash", out); err != nil || len(missing) > 0 {
		t.Fatal(missing, err)
	}
	z, err := zip.OpenReader(out)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	read := func(name string) []byte {
		f, err := z.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		data, err := io.ReadAll(f)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	var d DataExport
	if err := json.Unmarshal(read("athlete.json"), &d); err != nil {
		t.Fatal(err)
	}
	have := map[string]int{
		"consent": len(d.Consents), "attendance": len(d.Attendance), "decision": len(d.Decisions), "pain_over": len(d.PainOver), "backup_athlete": len(d.Backups), "share": len(d.Shares), "audit": len(d.Audit), "trial": len(d.Trials),
		"take": len(d.Takes), "take_file": len(d.Takes[0].Files), "take_trial": len(d.Takes[0].Trials),
	}
	one := d.Trials[0]
	have["view"], have["picture"], have["rating"] = len(one.Views), len(one.Pictures), len(one.Ratings)
	have["override"] = len(one.Overrides)
	have["placement"] = len(one.Placed)
	if one.Again != "" {
		have["again"], have["todo"] = 1, 1
	}
	if d.Takes[0].State == Uploaded {
		have["todo"]++
	}
	if one.Signed != nil {
		have["signed"] = 1
	}
	have["measurement"] = 1 // both results are of one measuring
	have["score"], have["measure"] = len(one.Results), len(one.Results[0].Result.Measures)
	for _, r := range one.Results {
		have["finding"] += len(r.Result.Score.Items)
	}
	for _, table := range a.leadingTo(t, "athlete") {
		var n int
		if err := a.db.QueryRowContext(ctx, "SELECT count(*) FROM "+table).Scan(&n); err != nil {
			t.Fatal(err)
		}
		if table == "backup_athlete" {
			n /= 2 // both athletes are in the backup
		}
		if have[table] != n || n == 0 {
			t.Errorf("%s: the export has %d rows, the archive %d", table, have[table], n)
		}
	}
	if string(read(one.Views[0].Clip)) != "a clip" || string(read(one.Pictures[0].File)) != "a picture" || len(read(one.Views[0].Track)) == 0 || string(read("takes/1-front")) != "a clip to come" {
		t.Error("clip, picture or track did not come along")
	}
}

// leadingTo are the tables whose rows belong to a row of a table, directly or not.
func (a *Archive) leadingTo(t *testing.T, table string) []string {
	t.Helper()
	ctx := context.Background()
	rows, err := a.db.QueryContext(ctx, `SELECT DISTINCT m.name FROM sqlite_schema m JOIN pragma_foreign_key_list(m.name) f
		WHERE m.type = 'table' AND f."table" = ? AND f.on_delete = 'CASCADE'`, table)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	rows.Close()
	var out []string
	for _, name := range names {
		out = append(append(out, name), a.leadingTo(t, name)...)
	}
	return out
}
