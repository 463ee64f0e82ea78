package present

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"steadfall/internal/archive"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/locale"
	"steadfall/report/physio"
	"steadfall/scoring"
)

// Day picks the trials of a physio's page: a task on a date. Empty is the newest date, and
// the task with the most trials on it.
type Day struct {
	Date string
	Task kinematics.Task
}

// ErrNoTrial says that there is no trial of a day and task.
var ErrNoTrial = errors.New("has no trial")

// Physio gathers the physio's page of one athlete. link is where the page of another day is,
// and of a trial; both may be nil.
func Physio(ctx context.Context, a *archive.Archive, code string, day Day, tool string, link func(d Day) string, trial func(id int64) string) (physio.Page, error) {
	who, err := a.Athlete(ctx, code)
	if err != nil {
		return physio.Page{}, err
	}
	s, err := a.Squad(ctx)
	if err != nil {
		return physio.Page{}, err
	}
	p := physio.Page{About: about(s, tool), Code: who.Code, Name: who.Name}
	all, err := a.Trials(ctx, code, 0)
	if err != nil {
		return p, err
	}
	if day, err = chosenDay(all, day); err != nil {
		return p, fmt.Errorf("%s %w", code, err)
	}
	p.Date, p.Task = day.Date, day.Task
	var days []Day
	for _, t := range all {
		if on := (Day{t.Session.Date, t.Task}); on != day && link != nil && !slices.Contains(days, on) {
			days = append(days, on)
			p.Others = append(p.Others, report.Link{Date: on.Date, Words: locale.TaskWords(on.Task, kinematics.Both), To: link(on)})
		}
	}
	for _, t := range all {
		if t.Session.Date != day.Date || t.Task != day.Task {
			continue
		}
		shown, err := physioTrial(ctx, a, t, before(all, t))
		if err != nil {
			return p, err
		}
		if trial != nil {
			shown.Link = trial(t.ID)
		}
		p.Trials = append(p.Trials, shown)
	}
	dated, err := a.History(ctx, code)
	p.Progress = scoring.NewProgress(slices.DeleteFunc(dated, func(t scoring.Dated) bool { return t.Task != day.Task || t.Date > day.Date }))
	return p, err
}

// chosenDay fills in what was left open.
func chosenDay(all []archive.Trial, day Day) (Day, error) {
	n := map[Day]int{}
	best := Day{}
	for _, t := range all {
		on := Day{t.Session.Date, t.Task}
		if day.Date != "" && day.Date != on.Date || day.Task != "" && day.Task != on.Task {
			continue
		}
		n[on]++
		if on.Date > best.Date || on.Date == best.Date && n[on] > n[best] {
			best = on
		}
	}
	if n[best] == 0 {
		return day, fmt.Errorf("%w %s; see steadfall session list", ErrNoTrial, strings.TrimSpace("on that day "+string(day.Task)))
	}
	return best, nil
}

// before is the last trial of the same task and leg in an earlier session.
func before(all []archive.Trial, t archive.Trial) (id int64) {
	date := ""
	for _, o := range all {
		if o.Task == t.Task && o.Limb == t.Limb && o.Session.Date < t.Session.Date && o.Session.Date >= date {
			date, id = o.Session.Date, o.ID
		}
	}
	return id
}

func physioTrial(ctx context.Context, a *archive.Archive, t archive.Trial, before int64) (physio.Trial, error) {
	p, err := Trial(ctx, a, t.ID)
	if err != nil {
		return physio.Trial{}, err
	}
	out := physio.Trial{Name: t.Within(), Limb: t.Limb, Result: p.Result, Pictures: p.Pictures, Signed: p.Signed}
	placed, err := a.Placements(ctx, t.ID)
	if err != nil {
		return out, err
	}
	for _, x := range placed {
		if !slices.Contains(out.Placed, x.By) {
			out.Placed = append(out.Placed, x.By)
		}
	}
	if out.Rated, err = a.Raters(ctx, t.ID); err != nil {
		return out, err
	}
	if out.Poses, err = postures(ctx, a, t.ID, p.Result); err != nil || before == 0 {
		return out, err
	}
	then, err := a.Newest(ctx, before)
	if err != nil {
		return out, err
	}
	out.Before, err = postures(ctx, a, before, then)
	return out, err
}

// postures are those of every view of a trial.
func postures(ctx context.Context, a *archive.Archive, id int64, r scoring.Result) ([]physio.Posture, error) {
	views, err := a.Views(ctx, id)
	if err != nil {
		return nil, err
	}
	var out []physio.Posture
	for _, v := range views {
		for _, w := range r.Views {
			if w.View == v.Track.View {
				out = append(out, physio.NewPostures(v.Track, w)...)
			}
		}
	}
	return out, nil
}
