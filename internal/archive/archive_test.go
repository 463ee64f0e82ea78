package archive_test

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"steadfall/internal/archive"
	"steadfall/internal/rescore"
	"steadfall/internal/simulated"
	"steadfall/internal/standing"
	"steadfall/internal/testkit/scored"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// newArchive is an archive of an invented squad with one session.
func newArchive(t testing.TB, athletes ...archive.Athlete) (*archive.Archive, string, archive.Session) {
	t.Helper()
	ctx := context.Background()
	dir := filepath.Join(t.TempDir(), "squad")
	a, err := archive.Create(ctx, dir, archive.Squad{Name: "Larkfield Lanterns", Invented: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { a.Close() })
	if _, err := a.Put(ctx, athletes...); err != nil {
		t.Fatal(err)
	}
	s, err := a.EnsureSession(ctx, archive.Session{Date: "2026-09-01"})
	if err != nil {
		t.Fatal(err)
	}
	return a, dir, s
}

var ash = archive.Athlete{Code: "Ash", Name: "Ashling Quillfeather", HeightCM: 172, Notes: "likes Quillfeather pens"}

// landing is a simulated two-foot landing, measured and scored.
func landing(t testing.TB, fppaDeg float64) archive.Recording {
	t.Helper()
	sim := simulated.Landing{
		View: kinematics.Front, FPS: 60, StatureCM: 172, PxPerCM: 5, BoxCM: 30, DepthCM: 20, HoldS: 3, SD: 1.5,
		FPPADeg: map[kinematics.Side]float64{kinematics.Left: fppaDeg, kinematics.Right: 2},
	}
	l := scored.Simulate(t, sim, nil)
	return archive.Recording{
		Trial:     archive.Trial{Task: l.Options.Task, Limb: l.Options.Limb, Number: 1},
		Views:     []archive.View{{Hash: fmt.Sprintf("%064x", int(fppaDeg)), Points: "simulated", Track: l.Track, Options: l.Options}},
		Result:    l.Result,
		Checklist: l.Checklist,
	}
}

func add(t testing.TB, a *archive.Archive, r archive.Recording, code string, s archive.Session, number int) int64 {
	t.Helper()
	r.Trial.Athlete, r.Trial.Session, r.Trial.Number = code, s, number
	ids, err := a.Add(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	return ids[0]
}

// What comes out is what went in, and the kept draws score as the fresh ones did.
func TestTrialComesBackWhole(t *testing.T) {
	ctx := context.Background()
	a, _, s := newArchive(t, ash)
	r := landing(t, 14)
	r.Pictures = []archive.Picture{{View: kinematics.Front, Moment: "contact", Frame: 60, TimeS: 1, Caption: "a caption", Data: []byte("jpeg")}}
	id := add(t, a, r, "Ash", s, 1)
	got, err := a.Newest(ctx, id)
	if err != nil {
		t.Fatal(err)
	}
	want := r.Result
	if !reflect.DeepEqual(got.Score, want.Score) {
		t.Errorf("score came back as\n%+v\nwant\n%+v", got.Score, want.Score)
	}
	if len(got.Measures) != len(want.Measures) || !reflect.DeepEqual(got.Views, want.Views) || !reflect.DeepEqual(got.Missing, want.Missing) || !reflect.DeepEqual(got.Limbs, want.Limbs) {
		t.Error("measures, views, missing or limbs differ")
	}
	if again := scoring.Apply(r.Checklist, got.Landings()); !reflect.DeepEqual(again, want.Score) {
		t.Errorf("scored again\n%+v\nwant\n%+v", again, want.Score)
	}
	vs, err := a.Views(ctx, id)
	if err != nil || len(vs) != 1 {
		t.Fatal(vs, err)
	}
	if !reflect.DeepEqual(vs[0].Options, r.Views[0].Options) || len(vs[0].Track.Frame) != len(r.Views[0].Track.Frame) || vs[0].Track.Width != 1080 {
		t.Errorf("view came back with options %+v and %d frames", vs[0].Options, len(vs[0].Track.Frame))
	}
	ps, err := a.Pictures(ctx, id)
	if err != nil || !reflect.DeepEqual(ps, r.Pictures) {
		t.Errorf("pictures %+v, %v", ps, err)
	}
	tr, ok, err := a.Has(ctx, r.Views[0].Hash)
	if err != nil || !ok || tr.ID != id || tr.Athlete != "Ash" {
		t.Errorf("known by its hash: %+v %v %v", tr, ok, err)
	}
	if _, err := a.Add(ctx, func() archive.Recording { r.Trial.Athlete, r.Trial.Session = "Ash", s; return r }()); err == nil {
		t.Error("the same trial was added twice")
	}
}

func TestRescoreKeepsBothAndSaysWhatChanged(t *testing.T) {
	ctx := context.Background()
	a, _, s := newArchive(t, ash)
	id := add(t, a, landing(t, 14), "Ash", s, 1)
	add(t, a, landing(t, 3), "Ash", s, 2)
	strict := func(feet int) (scoring.Checklist, error) {
		c, err := scoring.Load(scoring.Default(feet))
		c.Items[0].Threshold = 1 // knee-inside-toe
		return c, err
	}
	got, err := rescore.All(ctx, a, strict, "steadfall test 2", nil)
	if err != nil {
		t.Fatal(err)
	}
	if got.Trials != 2 || got.Already != 0 {
		t.Errorf("scored %d, already %d", got.Trials, got.Already)
	}
	clearToError := rescore.Change{Item: "knee-inside-toe", From: scoring.Clear, To: scoring.Error}
	toClose := rescore.Change{Item: "knee-inside-toe", From: scoring.Clear, To: scoring.TooClose}
	if got.Changed[clearToError]+got.Changed[toClose] == 0 {
		t.Errorf("nothing changed: %v", got.Changed)
	}
	all, err := a.Results(ctx, id)
	if err != nil || len(all) != 2 {
		t.Fatalf("%d results, %v; want both", len(all), err)
	}
	if *all[0].Result.Score.Items[0].Threshold != 10 || *all[1].Result.Score.Items[0].Threshold != 1 {
		t.Error("each score must keep its own threshold")
	}
	again, err := rescore.All(ctx, a, strict, "steadfall test 2", nil)
	if err != nil || again.Trials != 0 || again.Already != 2 {
		t.Errorf("a second time scored %d, already %d, %v", again.Trials, again.Already, err)
	}
}

func TestStandings(t *testing.T) {
	ctx := context.Background()
	birch := archive.Athlete{Code: "Birch"}
	a, _, s := newArchive(t, ash, birch)
	s2, err := a.EnsureSession(ctx, archive.Session{Date: "2026-09-08"})
	if err != nil {
		t.Fatal(err)
	}
	good, bad := landing(t, 2), landing(t, 30)
	pain := 0
	for _, day := range []archive.Session{s, s2} {
		for n := 1; n <= 3; n++ {
			add(t, a, good, "Ash", day, n)
			if day == s {
				add(t, a, bad, "Birch", day, n)
			}
		}
		if err := a.Attend(ctx, day, "Ash", archive.Attendance{Pain: &pain}); err != nil {
			t.Fatal(err)
		}
	}
	if err := a.Attend(ctx, s2, "Birch", archive.Attendance{Absent: "at school"}); err != nil {
		t.Fatal(err)
	}
	l, err := scoring.LoadLadder(scoring.DefaultLadder)
	if err != nil {
		t.Fatal(err)
	}
	standings, err := standing.All(ctx, a, l)
	if err != nil || len(standings) != 2 {
		t.Fatal(standings, err)
	}
	if p := standings[0]; p.Standing.Verdict != scoring.Ready || p.Missing || p.Trials != 6 || p.LastSeen != "2026-09-08" {
		t.Errorf("Ash: %+v", p)
	}
	if p := standings[1]; p.Standing.Verdict != scoring.NotYet || !p.Missing || p.Absent != "at school" || len(p.Errors) == 0 || p.Errors[0].Item != "knee-inside-toe" || p.Errors[0].Trials != 3 || p.Errors[0].Cue == "" {
		t.Errorf("Birch: %+v", p)
	}
	// Pain at a session with none of the step's trials counts until somebody notes, with a name and
	// the date, that it is over.
	nine, jumps := 9, archive.Session{Date: "2026-09-10"}
	if err := a.Attend(ctx, jumps, "Ash", archive.Attendance{Pain: &nine}); err != nil {
		t.Fatal(err)
	}
	if err := a.NotePainOver(ctx, "Ash", archive.PainOver{Date: "2026-09-10"}); err == nil {
		t.Error("pain was over by nobody's word")
	}
	for _, c := range []struct {
		over string
		want scoring.Progression
	}{{"", scoring.NotYet}, {"2026-09-09", scoring.NotYet}, {"2026-09-10", scoring.Ready}} {
		if c.over != "" {
			if err := a.NotePainOver(ctx, "Ash", archive.PainOver{Date: c.over, By: "Reed"}); err != nil {
				t.Fatal(err)
			}
		}
		p, err := standing.One(ctx, a, l, "Ash")
		if err != nil || p.Standing.Verdict != c.want || (len(p.Standing.Physio) > 0) != (c.want == scoring.NotYet) {
			t.Errorf("pain over %q: %s because %q, to the physio %q, %v", c.over, p.Standing.Verdict, p.Standing.Because, p.Standing.Physio, err)
		}
	}
	// Somebody who looked says otherwise of one landing: that counts until they take it back.
	ts, err := a.Trials(ctx, "Ash", s2.ID)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		says scoring.Verdict
		want scoring.Progression
	}{{scoring.Error, scoring.NotYet}, {scoring.Clear, scoring.Ready}} {
		if err := a.Override(ctx, ts[0].ID, scoring.Override{Item: "knee-inside-toe", Side: kinematics.Left, Finding: c.says, Reason: "seen by eye", By: "Coach Reed"}); err != nil {
			t.Fatal(err)
		}
		p, err := standing.One(ctx, a, l, "Ash")
		if err != nil || p.Standing.Verdict != c.want {
			t.Errorf("said %s: %s because %q, %v", c.says, p.Standing.Verdict, p.Standing.Because, err)
		}
		r, err := a.Newest(ctx, ts[0].ID)
		if err != nil || r.Score.Items[0].Finding != c.says || r.Score.Items[0].Tool != scoring.Clear {
			t.Errorf("the newest result says %+v, %v", r.Score.Items[0], err)
		}
	}
	if err := a.Decide(ctx, "Ash", archive.Decision{Step: l.After("two-foot-drop"), Told: "ready", Reason: "steady all week", By: "Coach Reed"}); err != nil {
		t.Fatal(err)
	}
	p, err := standing.One(ctx, a, l, "Ash")
	if err != nil || p.Standing.Step != "one-foot-drop" || p.Standing.Verdict != scoring.NotYet {
		t.Errorf("after moving on: %+v, %v", p.Standing, err)
	}
	if err := a.Decide(ctx, "Ash", archive.Decision{Step: "", Told: "not_yet"}); err == nil {
		t.Error("a decision without a name and a reason was taken")
	}
	taken, err := a.History(ctx, "Ash")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range scoring.NewProgress(taken) {
		if p.Name == "fppa_peak" && p.Side == kinematics.Left {
			if len(p.Sessions) != 2 || p.Sessions[0].Trials != 3 || p.SinceFirst.Verdict != scoring.WithinNoise || p.SinceFirst.Value != 0 {
				t.Errorf("the same landings again: %+v %+v", p, p.SinceFirst)
			}
		}
	}
}

// Searching every byte of the folder is the test: rows, free pages, logs, file names and
// files.
func TestDeletedAthleteLeavesNoByte(t *testing.T) {
	ctx := context.Background()
	cedar := archive.Athlete{Code: "Cedar"}
	ash := ash
	ash.Code = "Zyphra" // no word of the tables holds it
	ash.Consent = &archive.Consent{Given: true, Date: "2026-08-01", By: "Orla Quillfeather"}
	a, dir, s := newArchive(t, ash, cedar)
	clip := filepath.Join(t.TempDir(), "Quillfeather.mp4")
	if err := os.WriteFile(clip, []byte("a clip that says Quillfeather"), 0o600); err != nil {
		t.Fatal(err)
	}
	r := landing(t, 14)
	r.Views[0].Clip = clip
	r.Result.Warnings = append(r.Result.Warnings, "Quillfeather moved")
	r.Pictures = []archive.Picture{{View: kinematics.Front, Moment: "contact", Caption: "Quillfeather", Data: []byte("a picture of Quillfeather")}}
	add(t, a, r, "Zyphra", s, 1)
	shared := landing(t, 3)
	shared.Pictures = []archive.Picture{{View: kinematics.Front, Moment: "contact", Data: []byte("both have this")}}
	add(t, a, shared, "Zyphra", s, 2)
	other := add(t, a, shared, "Cedar", s, 1)
	if err := a.Decide(ctx, "Zyphra", archive.Decision{Reason: "Quillfeather is ready", By: "Coach Reed"}); err != nil {
		t.Fatal(err)
	}
	if err := a.Attend(ctx, s, "Zyphra", archive.Attendance{Absent: "Quillfeather was ill"}); err != nil {
		t.Fatal(err)
	}
	backup := filepath.Join(t.TempDir(), "backup.zip")
	if _, err := a.Backup(ctx, backup, nil); err != nil {
		t.Fatal(err)
	}
	if found := search(t, dir, "Quillfeather"); len(found) == 0 {
		t.Fatal("the search does not find what is there")
	}
	d, err := a.Delete(ctx, "Zyphra")
	if err != nil {
		t.Fatal(err)
	}
	if d.Trials != 2 || len(d.Backups) != 1 || !strings.HasSuffix(d.Backups[0].File, "backup.zip") {
		t.Errorf("deleted %+v", d)
	}
	for _, word := range []string{"Quillfeather", "Zyphra"} {
		if found := search(t, dir, word); len(found) > 0 {
			t.Errorf("%q is still in %v", word, found)
		}
	}
	for _, sub := range []string{"clips", "pictures"} {
		left, err := os.ReadDir(filepath.Join(dir, sub))
		if want := map[string]int{"clips": 0, "pictures": 1}[sub]; err != nil || len(left) != want {
			t.Errorf("%s holds %d files, want %d", sub, len(left), want)
		}
	}
	if ps, err := a.Pictures(ctx, other); err != nil || len(ps) != 1 {
		t.Errorf("the other athlete lost a picture: %v", err)
	}
	checked, err := a.Check(ctx, nil)
	if err != nil || len(checked.Problems) > 0 || checked.Trials != 1 {
		t.Errorf("%+v, %v", checked, err)
	}
}

// search lists the files of a folder that hold a word, in their name or content.
func search(t *testing.T, dir, word string) []string {
	t.Helper()
	var found []string
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if bytes.Contains(bytes.ToLower(data), []byte(strings.ToLower(word))) || strings.Contains(e.Name(), word) {
			found = append(found, e.Name())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func TestBackupAndRestore(t *testing.T) {
	ctx := context.Background()
	a, _, s := newArchive(t, ash)
	r := landing(t, 14)
	r.Pictures = []archive.Picture{{View: kinematics.Front, Moment: "contact", Data: []byte("jpeg")}}
	add(t, a, r, "Ash", s, 1)
	dir := t.TempDir()
	zip, back := filepath.Join(dir, "b.zip"), filepath.Join(dir, "back")
	if _, err := a.Backup(ctx, zip, nil); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Backup(ctx, zip, nil); err == nil {
		t.Error("a backup was overwritten")
	}
	if _, err := archive.Restore(ctx, zip, back); err != nil {
		t.Fatal(err)
	}
	b, err := archive.Open(ctx, back)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	got, err := b.Trials(ctx, "", 0)
	if err != nil || len(got) != 1 {
		t.Fatalf("%v, %v", got, err)
	}
	if ps, err := b.Pictures(ctx, got[0].ID); err != nil || len(ps) != 1 {
		t.Errorf("pictures %v, %v", ps, err)
	}
	if _, err := archive.Restore(ctx, zip, back); err == nil {
		t.Error("an archive was overwritten by a backup")
	}
	data, err := os.ReadFile(zip)
	if err != nil {
		t.Fatal(err)
	}
	for at := 100; at < len(data); at += len(data) / 7 { // a flipped bit anywhere
		bad := filepath.Join(dir, "bad.zip")
		broken := bytes.Clone(data)
		broken[at] ^= 0x10
		if err := os.WriteFile(bad, broken, 0o600); err != nil {
			t.Fatal(err)
		}
		to := filepath.Join(dir, "bad")
		if _, err := archive.Restore(ctx, bad, to); err == nil {
			if b, e := archive.Open(ctx, to); e == nil { // a bit that says nothing, such as a time
				b.Close()
			} else {
				t.Errorf("byte %d: restored, but %v", at, e)
			}
			os.RemoveAll(to)
		} else if _, e := os.Stat(to); e == nil {
			t.Errorf("byte %d: refused with %v, but left something behind", at, err)
		}
	}
}

func TestCheckFindsDamage(t *testing.T) {
	ctx := context.Background()
	a, dir, s := newArchive(t, ash)
	r := landing(t, 14)
	r.Pictures = []archive.Picture{{View: kinematics.Front, Moment: "contact", Data: []byte("one")}, {View: kinematics.Front, Moment: "hold", Data: []byte("two")}}
	add(t, a, r, "Ash", s, 1)
	if c, err := a.Check(ctx, nil); err != nil || len(c.Problems)+len(c.LeftOver) > 0 || c.Files != 2 {
		t.Fatalf("a sound archive: %+v, %v", c, err)
	}
	files, err := os.ReadDir(filepath.Join(dir, "pictures"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "pictures", files[0].Name()), []byte("other"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, "pictures", files[1].Name())); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "clips", "cut-off.mp4"), []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	c, err := a.Check(ctx, nil)
	if err != nil || len(c.Problems) != 2 || len(c.LeftOver) != 1 {
		t.Errorf("%+v, %v", c, err)
	}
}
