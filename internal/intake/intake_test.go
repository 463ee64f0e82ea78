package intake_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"steadfall/internal/archive"
	"steadfall/internal/intake"
	"steadfall/internal/pipeline"
	"steadfall/internal/simulated"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// The names of the folders of an import that runs as a child and is killed.
const (
	childArchive = "STEADFALL_TEST_ARCHIVE"
	childFolder  = "STEADFALL_TEST_FOLDER"
)

func TestMain(m *testing.M) {
	if os.Getenv(childArchive) == "" {
		os.Exit(m.Run())
	}
	done, err := importFolder(os.Getenv(childArchive), os.Getenv(childFolder), func(t archive.Trial, _ scoring.Score) {
		fmt.Println("kept", t.ID)
	})
	if err != nil || len(done.Failed) > 0 {
		fmt.Fprintln(os.Stderr, err, done.Failed)
		os.Exit(1)
	}
	os.Exit(0)
}

var consent = &archive.Consent{Given: true, Date: "2026-08-01", By: "the athlete"}

func importFolder(dir, folder string, kept func(archive.Trial, scoring.Score)) (intake.Done, error) {
	ctx := context.Background()
	a, err := archive.Open(ctx, dir)
	if err != nil {
		return intake.Done{}, err
	}
	defer a.Close()
	s, err := a.EnsureSession(ctx, archive.Session{Date: "2026-09-01"})
	if err != nil {
		return intake.Done{}, err
	}
	im := intake.Import{
		Archive: a, Session: s, Folder: folder, Patterns: intake.Usual(), Kept: kept,
		Usual: pipeline.Request{Task: kinematics.DropLanding, Limb: kinematics.Both, Tool: "steadfall test"},
	}
	return im.Run(ctx)
}

// squad is an archive with the invented athletes Ash and Birch, who agreed, and Cedar, who
// did not.
func squad(t testing.TB) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "squad")
	a, err := archive.Create(context.Background(), dir, archive.Squad{Name: "Larkfield Lanterns", Invented: true})
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	if _, err := a.Put(context.Background(), archive.Athlete{Code: "Ash", HeightCM: 172, Consent: consent}, archive.Athlete{Code: "Birch", HeightCM: 165, Consent: consent}, archive.Athlete{Code: "Cedar"}); err != nil {
		t.Fatal(err)
	}
	return dir
}

// writeTrack writes a simulated landing; different depths make different files.
func writeTrack(t testing.TB, name string, view kinematics.View, depth float64) {
	t.Helper()
	l := simulated.Landing{View: view, FPS: 30, StatureCM: 172, PxPerCM: 5, BoxCM: 30, DepthCM: depth, HoldS: 1.2, SD: 1.5}
	track, _ := l.Track()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := kinematics.WriteTrack(f, track); err != nil {
		t.Fatal(err)
	}
}

func TestImport(t *testing.T) {
	dir, folder := squad(t), t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	writeTrack(t, at("Ash_drop-landing_1_front.csv"), kinematics.Front, 20)
	writeTrack(t, at("ash_drop-landing_1_side.csv"), kinematics.SideLeft, 20)
	writeTrack(t, at("Birch_drop-landing_2_front.csv"), kinematics.Front, 21)
	writeTrack(t, at("Cedar_drop-landing_1_front.csv"), kinematics.Front, 22)
	writeTrack(t, at("Willow_drop-landing_1_front.csv"), kinematics.Front, 23)
	for name, content := range map[string]string{"Birch_drop-landing_3_front.csv": "nonsense", "notes.txt": "x", "Birch_handstand_1_front.csv": "x"} {
		if err := os.WriteFile(at(name), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	done, err := importFolder(dir, folder, nil)
	if err != nil {
		t.Fatal(err)
	}
	if done.Kept != 2 || done.Already != 0 || len(done.Other) != 2 || len(done.Failed) != 3 {
		t.Fatalf("%+v", done)
	}
	for i, want := range []string{"not a track", "no consent is on record", "no athlete \"Willow\""} {
		if !strings.Contains(done.Failed[i], want) {
			t.Errorf("%s: want %q", done.Failed[i], want)
		}
	}
	ctx := context.Background()
	a, err := archive.Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	ts, err := a.Trials(ctx, "Ash", 0)
	if err != nil || len(ts) != 1 {
		t.Fatal(ts, err)
	}
	r, err := a.Newest(ctx, ts[0].ID)
	if err != nil || len(r.Views) != 2 || r.HeightCM != 172 {
		t.Errorf("%d views, height %v, %v; want both views and Ash's height", len(r.Views), r.HeightCM, err)
	}
	// Once more: all is there. Another file under a kept name is refused, not taken for it.
	writeTrack(t, at("Birch_drop-landing_2_front.csv"), kinematics.Front, 25)
	done, err = importFolder(dir, folder, nil)
	if err != nil || done.Kept != 0 || done.Already != 1 || len(done.Failed) != 4 || !strings.Contains(done.Failed[0], "already, from another file") {
		t.Errorf("%+v, %v", done, err)
	}
	if err := intake.Again(ctx, a, ts[0], "", "steadfall later"); err != nil {
		t.Fatal(err)
	}
	all, err := a.Results(ctx, ts[0].ID)
	if err != nil || len(all) != 2 || all[1].Result.Tool != "steadfall later" {
		t.Fatalf("%d results, %v", len(all), err)
	}
	// The same track measured again by the same code gives the same findings.
	for i, f := range all[0].Result.Score.Items {
		if g := all[1].Result.Score.Items[i]; f.Finding != g.Finding {
			t.Errorf("%s: %s, measured again %s", f.ID, f.Finding, g.Finding)
		}
	}
}

func TestPatternMistakes(t *testing.T) {
	for text, want := range map[string]string{
		"{athlete}_{trial}":          "needs {athlete} and {view}",
		"{athlete}_{view}_{colour}":  "has {colour}",
		"{athlete}_{athlete}_{view}": "twice",
		"plain":                      "needs",
		"{view}-{any}({athlete})+":   "",
	} {
		_, err := intake.ParsePattern(text)
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}

// Killed at a hundred random moments, an import loses no trial that it said was kept, and
// the archive stays sound; the last run finishes the rest.
func TestKilledImportLosesNothing(t *testing.T) {
	const kills, trials = 100, 240
	dir, folder := squad(t), t.TempDir()
	for n := range trials {
		writeTrack(t, filepath.Join(folder, fmt.Sprintf("Ash_drop-landing_%d_front.csv", n+1)), kinematics.Front, 15+float64(n)/40)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	rnd := rand.New(rand.NewPCG(5, 9))
	kept := map[string]bool{}
	killed := 0
	runs := 0
	for ; killed < kills && runs < 2*kills; runs++ {
		cmd := exec.Command(self)
		cmd.Env = append(os.Environ(), childArchive+"="+dir, childFolder+"="+folder)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewReader(out)
		for range rnd.IntN(3) {
			line, err := lines.ReadString('\n')
			if err != nil {
				break
			}
			kept[strings.TrimSpace(line)] = true
		}
		for range rnd.IntN(40_000_000) { // a random moment, without a clock
		}
		_ = cmd.Process.Kill()
		rest, _ := io.ReadAll(lines) // said before it died
		for _, line := range strings.SplitAfter(string(rest), "\n") {
			if strings.HasSuffix(line, "\n") {
				kept[strings.TrimSpace(line)] = true
			}
		}
		var exit *exec.ExitError
		if err := cmd.Wait(); errors.As(err, &exit) && exit.ExitCode() == -1 {
			killed++
		}
		if runs%10 == 9 {
			sound(t, dir, kept)
		}
	}
	if killed < kills {
		t.Errorf("only %d of %d imports were killed before they ended", killed, runs)
	}
	t.Logf("%d of %d imports killed; %d trials acknowledged by then", killed, runs, len(kept))
	done, err := importFolder(dir, folder, nil)
	if err != nil || done.Kept+done.Already != trials || len(done.Failed) > 0 {
		t.Errorf("the last run: %+v, %v", done, err)
	}
	sound(t, dir, kept)
}

func sound(t *testing.T, dir string, kept map[string]bool) {
	t.Helper()
	ctx := context.Background()
	a, err := archive.Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close()
	c, err := a.Check(ctx, nil)
	if err != nil || len(c.Problems) > 0 {
		t.Fatalf("%+v, %v", c, err)
	}
	have := map[string]bool{}
	ts, err := a.Trials(ctx, "", 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, tr := range ts {
		have[fmt.Sprintf("kept %d", tr.ID)] = true
	}
	for line := range kept {
		if !have[line] {
			t.Fatalf("lost: %s", line)
		}
	}
}
