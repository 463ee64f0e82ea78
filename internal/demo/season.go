package demo

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"time"

	"steadfall/internal/archive"
	"steadfall/internal/intake"
	"steadfall/internal/pipeline"
	"steadfall/internal/safefile"
	"steadfall/internal/season"
	"steadfall/internal/standing"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// The invented season: its tracks are simulated; only the clips of the newest session show
// rendered figures.
const (
	seasonAthletes = 12
	seasonSessions = 7
)

var invented = season.Season{Athletes: seasonAthletes, First: time.Date(2026, 8, 8, 0, 0, 0, 0, time.UTC), FPS: 60}

// Create makes the demo's archive in a folder. An earlier demo there makes way; anything
// else does not.
func Create(ctx context.Context, dir string) (*archive.Archive, error) {
	if old, err := archive.Open(ctx, dir); err == nil {
		s, err := old.Squad(ctx)
		old.Close()
		if err != nil || !s.Invented {
			return nil, errors.New("there is an archive of real people where the demo's would go; choose another folder with --dir")
		}
		if err := os.RemoveAll(dir); err != nil {
			return nil, err
		}
	}
	return archive.Create(ctx, dir, archive.Squad{Name: strings.Split(Squad, ",")[0], Invented: true})
}

// Fill puts the season into the archive: people, sessions, what they said, trials, and what
// the coach decided. Each athlete does the task of their step, three times, on each leg
// where it is for one.
func Fill(ctx context.Context, a *archive.Archive, l scoring.Ladder, tool string, tell func(stage string, done, total int)) error {
	people := invented.People()
	for i, p := range people {
		for _, known := range Athletes {
			if known.Name == p.Code {
				people[i].HeightCM = known.StatureCM
			}
		}
	}
	if _, err := a.Put(ctx, people...); err != nil {
		return err
	}
	for n := range seasonSessions {
		tell("inventing a season", n, seasonSessions)
		if err := fillSession(ctx, a, l, n, people, tool); err != nil {
			return err
		}
	}
	tell("inventing a season", seasonSessions, seasonSessions)
	return nil
}

func fillSession(ctx context.Context, a *archive.Archive, l scoring.Ladder, n int, people []archive.Athlete, tool string) error {
	tmp, err := safefile.TempDir("steadfall-season-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	s, err := a.EnsureSession(ctx, archive.Session{Date: invented.Date(n)})
	if err != nil {
		return err
	}
	standings, err := standing.All(ctx, a, l)
	if err != nil {
		return err
	}
	for i, p := range people {
		at := invented.Attendance(i, n)
		if err := a.Attend(ctx, s, p.Code, at); err != nil {
			return err
		}
		if at.Absent != "" {
			continue
		}
		for _, where := range standings {
			if where.Athlete.Code == p.Code {
				if _, err := invented.Write(tmp, i, n, tasksOf(l, where.Standing.Step)); err != nil {
					return err
				}
			}
		}
	}
	im := intake.Import{Archive: a, Session: s, Folder: tmp, Patterns: intake.Usual(), Usual: pipeline.Request{Task: kinematics.DropLanding, Limb: kinematics.Both, Picture: season.Picture, SquareDeg: season.SquareDeg, Tool: tool}}
	if _, err := im.Run(ctx); err != nil {
		return err
	}
	if n == seasonSessions-1 {
		return nil // the newest session is the coach's to judge
	}
	return decide(ctx, a, l)
}

// tasksOf is what an athlete on a step does in a session.
func tasksOf(l scoring.Ladder, step string) []season.Task {
	s, err := l.Step(step)
	if err != nil { // all done: keep landing well
		s = l.Steps[0]
	}
	if s.Feet == scoring.OneFoot {
		return []season.Task{{Task: s.Task, Limb: kinematics.Left, Trials: 3}, {Task: s.Task, Limb: kinematics.Right, Trials: 3}}
	}
	return []season.Task{{Task: s.Task, Limb: kinematics.Both, Trials: 3}}
}

// decide moves on everybody of whom the rules say ready.
func decide(ctx context.Context, a *archive.Archive, l scoring.Ladder) error {
	standings, err := standing.All(ctx, a, l)
	if err != nil {
		return err
	}
	for _, p := range standings {
		if p.Standing.Verdict != scoring.Ready || p.Standing.Step == standing.Done {
			continue
		}
		d := archive.Decision{Step: l.After(p.Standing.Step), Told: string(p.Standing.Verdict), Reason: "steady in the last two sessions", By: "the coach (invented)"}
		if err := a.Decide(ctx, p.Athlete.Code, d); err != nil {
			return err
		}
	}
	return nil
}

// Keep keeps an athlete's clip, scored, as the last trial of the newest session.
func Keep(ctx context.Context, a *archive.Archive, who Athlete, r pipeline.Request, o pipeline.Outcome) error {
	s, err := a.SessionOn(ctx, invented.Date(seasonSessions-1), "")
	if err != nil {
		return err
	}
	var files []intake.File
	for _, v := range []pipeline.Source{r.Front, r.Side} {
		if v.Clip == "" {
			continue
		}
		hash, err := archive.HashFile(ctx, v.Clip)
		if err != nil {
			return err
		}
		files = append(files, intake.File{Hash: hash, Clip: v.Clip})
	}
	_, err = a.Add(ctx, intake.Recording(archive.Trial{Athlete: who.Name, Session: s, Task: who.Task, Limb: o.Result.Limb, Number: 9, Landing: 1}, o, files))
	return err
}

// Folder is where the demo's archive goes.
func Folder(dir string) string { return filepath.Join(dir, "squad") }
