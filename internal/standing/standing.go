// Package standing says where the athletes of a squad stand on a ladder: what the archive knows of
// them, put to the rules.
package standing

import (
	"context"
	"fmt"

	"steadfall/internal/archive"
	"steadfall/scoring"
)

// Done is the step of an athlete who has done all of the ladder.
const Done = "done"

// Standing is where an athlete stands.
type Standing struct {
	Athlete  archive.Athlete  `json:"athlete"`
	Standing scoring.Standing `json:"standing"`            // Step is Done after the last step
	LastSeen string           `json:"last_seen,omitempty"` // date of the last session with a trial
	Missing  bool             `json:"missing"`             // no trial in the newest session
	Absent   string           `json:"absent,omitempty"`    // why not there, where it was said
	Trials   int              `json:"trials"`              // in all
	Errors   []ItemCount      `json:"errors,omitempty"`    // sure ones in the last session seen, most first
}

// ItemCount is in how many trials an item was a sure error.
type ItemCount struct {
	Item   string `json:"item"`
	Text   string `json:"text"`
	Cue    string `json:"cue"`
	Trials int    `json:"trials"`
	Of     int    `json:"of"`
}

// All says of every athlete, by code, where they stand on the ladder. Where the rules cannot be
// asked, what is known of the athletes comes with the error.
func All(ctx context.Context, a *archive.Archive, l scoring.Ladder) ([]Standing, error) {
	all, err := known(ctx, a, "")
	if err != nil {
		return nil, err
	}
	return all, stand(ctx, a, l, all)
}

// One is the same for one athlete.
func One(ctx context.Context, a *archive.Archive, l scoring.Ladder, code string) (Standing, error) {
	if _, err := a.Athlete(ctx, code); err != nil {
		return Standing{}, err
	}
	all, err := known(ctx, a, code)
	if err != nil {
		return Standing{}, err
	}
	err = stand(ctx, a, l, all)
	return all[0], err
}

// known are the athletes with their newest decided step and their last errors.
func known(ctx context.Context, a *archive.Archive, code string) ([]Standing, error) {
	presences, err := a.Presences(ctx, code)
	if err != nil {
		return nil, err
	}
	var out []Standing
	for _, p := range presences {
		s := Standing{Athlete: p.Athlete, LastSeen: p.LastSeen, Missing: p.Missing, Absent: p.Absent, Trials: p.Trials}
		s.Standing.Step = p.Step
		if p.Decided && p.Step == "" {
			s.Standing.Step = Done
		}
		out = append(out, s)
	}
	return out, nil
}

// stand fills in what the rules say.
func stand(ctx context.Context, a *archive.Archive, l scoring.Ladder, all []Standing) error {
	if err := lastErrors(ctx, a, all); err != nil {
		return err
	}
	var steps []scoring.Step
	var asked []archive.Recent
	var at []int // of all, for each question
	for i, s := range all {
		if s.Standing.Step == Done {
			continue
		}
		step, err := l.Step(s.Standing.Step)
		if err != nil {
			return fmt.Errorf("%s: %w; decide a step of this ladder with steadfall ladder decide", s.Athlete.Code, err)
		}
		steps, asked, at = append(steps, step), append(asked, recent(l, step, s.Athlete.ID)), append(at, i)
	}
	days, err := a.Days(ctx, asked)
	if err != nil {
		return err
	}
	pain, err := a.OpenPain(ctx, l.Physio.PainAbove)
	if err != nil {
		return err
	}
	for i, n := range at {
		all[n].Standing = l.Stand(steps[i], days[i], pain[all[n].Athlete.ID])
	}
	for i := range all {
		if s := &all[i]; s.Standing.Step == Done {
			s.Standing = scoring.Finished("All steps are done", pain[s.Athlete.ID])
			s.Standing.Step = Done
		}
	}
	return nil
}

// recent asks for the sessions that a step and the rules for the physio look at.
func recent(l scoring.Ladder, s scoring.Step, athlete int64) archive.Recent {
	r := archive.Recent{
		Athlete: athlete, Task: s.Task, TwoFeet: s.Feet == scoring.TwoFeet, Checklist: s.Checklist,
		Sessions: max(s.Sessions, l.Physio.Sessions),
	}
	if s.Symmetry != nil {
		r.Measure = s.Symmetry.Measure
	}
	return r
}

// lastErrors fills in the items that were sure errors in each athlete's last session.
func lastErrors(ctx context.Context, a *archive.Archive, all []Standing) error {
	items, err := a.Items(ctx)
	if err != nil {
		return err
	}
	counts, err := a.LastErrors(ctx)
	if err != nil {
		return err
	}
	of := map[int64]*Standing{}
	for i := range all {
		of[all[i].Athlete.ID] = &all[i]
	}
	for _, c := range counts {
		if s := of[c.Athlete]; s != nil {
			s.Errors = append(s.Errors, ItemCount{Item: c.Item, Text: items[c.Item].Text, Cue: items[c.Item].Cue, Trials: c.Trials, Of: c.Of})
		}
	}
	return nil
}

// Jumps sums up the jumps of an athlete's newest session that has any.
func Jumps(ctx context.Context, a *archive.Archive, code string) (date string, all []scoring.JumpSummary, err error) {
	date, results, err := a.NewestJumps(ctx, code)
	return date, scoring.SummariseJumps(results), err
}
