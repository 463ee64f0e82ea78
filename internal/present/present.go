// Package present gathers the pages of a squad from its archive: the command line writes
// them into files, the desk serves them.
package present

import (
	"context"
	"maps"
	"slices"
	"time"

	"steadfall/internal/archive"
	"steadfall/internal/standing"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/athlete"
	"steadfall/report/landing"
	"steadfall/report/sheet"
	"steadfall/report/squad"
	"steadfall/scoring"
)

// about is what every page of a squad is told of itself.
func about(s archive.Squad, tool string) report.About {
	return report.About{Squad: s.Name, Invented: s.Invented, Made: time.Now(), Tool: tool}
}

// Squad gathers the squad's page from the archive.
func Squad(ctx context.Context, a *archive.Archive, l scoring.Ladder, tool string) (squad.Page, []standing.Standing, error) {
	s, err := a.Squad(ctx)
	if err != nil {
		return squad.Page{}, nil, err
	}
	p := squad.Page{About: about(s, tool), Ladder: l}
	sessions, err := a.Sessions(ctx)
	if err != nil {
		return p, nil, err
	}
	if n := len(sessions); n > 0 {
		p.Newest = sessions[n-1].Date
	}
	all, err := standing.All(ctx, a, l)
	for _, at := range all {
		p.Rows = append(p.Rows, Row(at))
	}
	if err != nil {
		return p, all, err
	}
	p.Spreads, err = spreads(ctx, a, p.Newest)
	return p, all, err
}

// spreads are the knees of the newest session, each task that was filmed from the front.
func spreads(ctx context.Context, a *archive.Archive, date string) ([]squad.Spread, error) {
	all, err := a.OnDay(ctx, date, "fppa_peak")
	if err != nil {
		return nil, err
	}
	of := map[kinematics.Task]squad.Spread{}
	for _, code := range slices.Sorted(maps.Keys(all)) {
		worse := map[kinematics.Task]squad.SpreadRow{}
		for _, p := range scoring.NewProgress(all[code]) {
			s, old := p.Sessions[len(p.Sessions)-1], worse[p.Task]
			if p.Side == kinematics.Both || p.View != kinematics.Front || old.Code != "" && old.Value >= s.Mean {
				continue
			}
			worse[p.Task] = squad.SpreadRow{Code: code, Side: p.Side, Value: s.Mean, SD: s.SD}
		}
		for task, row := range worse {
			s := of[task]
			s.Task, s.Measure, s.Rows = task, "fppa_peak", append(s.Rows, row)
			of[task] = s
		}
	}
	var out []squad.Spread
	for _, task := range slices.Sorted(maps.Keys(of)) {
		out = append(out, of[task])
	}
	return out, nil
}

// Row is an athlete's standing as the pages show it.
func Row(at standing.Standing) squad.Row {
	r := squad.Row{
		Code: at.Athlete.Code, Name: at.Athlete.Name, Standing: at.Standing,
		LastSeen: at.LastSeen, Missing: at.Missing, Absent: at.Absent, Trials: at.Trials,
	}
	if len(at.Errors) > 0 {
		e := at.Errors[0]
		r.Error, r.ErrorIn, r.ErrorOf, r.Cue = e.Text, e.Trials, e.Of, e.Cue
	}
	return r
}

// One gathers the page of one athlete, who stands there.
func One(ctx context.Context, a *archive.Archive, l scoring.Ladder, at standing.Standing, tool string) (athlete.Page, error) {
	s, err := a.Squad(ctx)
	if err != nil {
		return athlete.Page{}, err
	}
	return Athlete(ctx, a, l, Row(at), about(s, tool))
}

// Athlete gathers an athlete's page from the archive.
func Athlete(ctx context.Context, a *archive.Archive, l scoring.Ladder, row squad.Row, of report.About) (athlete.Page, error) {
	p := athlete.Page{About: of, Code: row.Code, Name: row.Name, Row: row}
	taken, err := a.History(ctx, row.Code)
	if err != nil {
		return p, err
	}
	p.Progress = scoring.NewProgress(taken)
	decided, err := a.Decisions(ctx, row.Code)
	if err != nil {
		return p, err
	}
	for _, d := range decided {
		title := "all done"
		if s, err := l.Step(d.Step); err == nil && d.Step != "" {
			title = s.Title
		}
		p.Decided = append(p.Decided, athlete.DecisionRow{Date: d.Made[:len(time.DateOnly)], Step: title, Told: d.Told, Reason: d.Reason, By: d.By})
	}
	scores, err := a.Scores(ctx, row.Code)
	if err != nil {
		return p, err
	}
	for _, s := range scores {
		p.Trials = append(p.Trials, athlete.TrialRow{ID: s.ID, Date: s.Session.Date, What: s.Within(), Errors: s.Errors, Most: s.Most})
	}
	p.JumpDate, p.Jumps, err = standing.Jumps(ctx, a, row.Code)
	return p, err
}

// Trial is the report of a kept trial.
func Trial(ctx context.Context, a *archive.Archive, id int64) (landing.Page, error) {
	t, err := a.Trial(ctx, id)
	if err != nil {
		return landing.Page{}, err
	}
	s, err := a.Squad(ctx)
	if err != nil {
		return landing.Page{}, err
	}
	p := landing.Page{About: about(s, ""), Who: t.Athlete, Subtitle: scoring.Sentence{Words: "%s, %s.", Args: []any{t.Session.Date, t.Within()}}}
	if p.Result, err = a.Newest(ctx, id); err != nil {
		return p, err
	}
	signed, err := a.SignedBy(ctx, id)
	if err != nil {
		return p, err
	}
	if signed != nil {
		p.Signed = signed.By + ", " + signed.Made[:len(time.DateOnly)]
	}
	pics, err := a.Pictures(ctx, id)
	for _, pic := range pics {
		p.Pictures = append(p.Pictures, report.Picture(pic))
	}
	return p, err
}

// Sheet gathers the athlete's own page of a kept trial.
func Sheet(ctx context.Context, a *archive.Archive, l scoring.Ladder, id int64, tool string) (sheet.Page, error) {
	t, err := a.Trial(ctx, id)
	if err != nil {
		return sheet.Page{}, err
	}
	p, err := Trial(ctx, a, id)
	if err != nil {
		return sheet.Page{}, err
	}
	at, err := standing.One(ctx, a, l, t.Athlete)
	if err != nil {
		return sheet.Page{}, err
	}
	of, err := One(ctx, a, l, at, tool)
	s := sheet.Page{
		About: p.About, Name: of.Code, Date: t.Session.Date, Result: p.Result, Pictures: p.Pictures,
		Progress: of.Progress,
	}
	s.Next, s.Step = next(at.Standing)
	if of.Name != "" {
		s.Name = of.Name
	}
	if of.JumpDate == t.Session.Date {
		s.Jumps = of.Jumps
	}
	return s, err
}

// next says to the athlete what the ladder says: a sentence of the messages, and the step
// that it names.
func next(s scoring.Standing) (sentence, step string) {
	switch {
	case s.Title == "":
		return "", ""
	case len(s.Physio) > 0:
		return "Talk to your physio before you go on.", ""
	case s.Verdict == scoring.Ready:
		return "You have what %s asks for. Your coach decides about the next step.", s.Title
	}
	return "You are working on: %s. Your coach decides when you go on.", s.Title
}
