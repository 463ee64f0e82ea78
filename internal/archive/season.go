package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Decision is what a person decided about an athlete's step.
type Decision struct {
	Step   string `json:"step"` // the step the athlete works on from then; empty: all are done
	Told   string `json:"told"` // what the rules said of the step before
	Reason string `json:"reason"`
	By     string `json:"by"`
	Made   string `json:"made"`
}

// Decide records a decision. The reason and the name of who decides are asked for.
func (a *Archive) Decide(ctx context.Context, code string, d Decision) error {
	if d.By == "" || d.Reason == "" {
		return fmt.Errorf("a decision needs the name of who decides, and a reason")
	}
	p, err := a.Athlete(ctx, code)
	if err != nil {
		return err
	}
	return a.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO decision (athlete, step, told, reason, by_whom, made) VALUES (?, ?, ?, ?, ?, ?)",
			p.ID, d.Step, d.Told, d.Reason, d.By, a.stamp())
		return err
	})
}

// Decisions returns the decisions about an athlete, oldest first.
func (a *Archive) Decisions(ctx context.Context, code string) ([]Decision, error) {
	return gather(ctx, a, func(rows *sql.Rows, d *Decision) error {
		return rows.Scan(&d.Step, &d.Told, &d.Reason, &d.By, &d.Made)
	}, `SELECT step, told, reason, by_whom, d.made FROM decision d JOIN athlete a ON a.id = d.athlete
		WHERE a.code = ? ORDER BY d.id`, code)
}

// Done is the step of an athlete who has done all of the ladder.
const Done = "done"

// Place is where an athlete stands.
type Place struct {
	Athlete  Athlete          `json:"athlete"`
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

// Standings says of every athlete, by code, where they stand on the ladder.
func (a *Archive) Standings(ctx context.Context, l scoring.Ladder) ([]Place, error) {
	places, err := a.places(ctx, "")
	if err != nil {
		return nil, err
	}
	return places, a.stand(ctx, l, places)
}

// Standing is the same for one athlete.
func (a *Archive) Standing(ctx context.Context, l scoring.Ladder, code string) (Place, error) {
	if _, err := a.Athlete(ctx, code); err != nil {
		return Place{}, err
	}
	places, err := a.places(ctx, code)
	if err != nil {
		return Place{}, err
	}
	err = a.stand(ctx, l, places)
	return places[0], err
}

// places are the athletes with their newest decided step in Standing.Step.
func (a *Archive) places(ctx context.Context, code string) ([]Place, error) {
	athletes, err := a.Athletes(ctx)
	if err != nil {
		return nil, err
	}
	type row struct {
		athlete int64
		Place
		step sql.NullString
		last sql.NullString
	}
	rows, err := gather(ctx, a, func(rows *sql.Rows, r *row) error {
		return rows.Scan(&r.athlete, &r.step, &r.last, &r.Trials, &r.Missing, &r.Absent)
	}, `WITH newest AS (SELECT id FROM session ORDER BY date DESC, id DESC LIMIT 1)
		SELECT a.id, (SELECT step FROM decision WHERE athlete = a.id ORDER BY id DESC LIMIT 1),
		(SELECT max(s.date) FROM session s WHERE EXISTS (SELECT 1 FROM trial WHERE athlete = a.id AND session = s.id)),
		(SELECT count(*) FROM trial WHERE athlete = a.id),
		NOT EXISTS (SELECT 1 FROM trial WHERE athlete = a.id AND session = (SELECT id FROM newest)),
		coalesce((SELECT absent FROM attendance WHERE athlete = a.id AND session = (SELECT id FROM newest)), '')
		FROM athlete a WHERE ?1 = '' OR a.code = ?1`, code)
	if err != nil {
		return nil, err
	}
	var out []Place
	for _, p := range athletes {
		i := slices.IndexFunc(rows, func(r row) bool { return r.athlete == p.ID })
		if i < 0 {
			continue
		}
		r := rows[i].Place
		r.Athlete, r.LastSeen = p, rows[i].last.String
		r.Standing.Step = rows[i].step.String
		if rows[i].step.Valid && r.Standing.Step == "" {
			r.Standing.Step = Done
		}
		out = append(out, r)
	}
	return out, nil
}

// stand fills in what the rules say of each place.
func (a *Archive) stand(ctx context.Context, l scoring.Ladder, places []Place) error {
	items, err := a.items(ctx)
	if err != nil {
		return err
	}
	for i := range places {
		p := &places[i]
		if p.Errors, err = a.sureErrors(ctx, items, p.Athlete.ID, p.LastSeen); err != nil {
			return err
		}
		if p.Standing.Step == Done {
			p.Standing.Title, p.Standing.Verdict = "All steps are done", scoring.Ready
			continue
		}
		step, err := l.Step(p.Standing.Step)
		if err != nil {
			return fmt.Errorf("%s: %w; decide a step of this ladder with steadfall ladder decide", p.Athlete.Code, err)
		}
		days, err := a.days(ctx, p.Athlete.ID, step, max(step.Sessions, l.Physio.Sessions))
		if err != nil {
			return err
		}
		p.Standing = l.Stand(step, days)
	}
	return nil
}

// newestScore joins a trial t to its newest measurement m and that one's newest score sc
// by the checklist of a name.
const newestScore = `JOIN measurement m ON m.id = (SELECT max(id) FROM measurement WHERE trial = t.id)
	LEFT JOIN score sc ON sc.id = (SELECT max(x.id) FROM score x JOIN checklist c ON c.id = x.checklist
		WHERE x.measurement = m.id AND (?1 = '' OR c.name = ?1))`

// days are the last most sessions in which an athlete did a step's task on as many feet,
// oldest first.
func (a *Archive) days(ctx context.Context, athlete int64, s scoring.Step, most int) ([]scoring.Day, error) {
	type row struct {
		date        string
		pain        *int
		session     int64
		measurement int64
		score       sql.NullInt64
		scoring.Attempt
	}
	rows, err := gather(ctx, a, func(rows *sql.Rows, r *row) error {
		return rows.Scan(&r.session, &r.date, &r.pain, &r.Limb, &r.measurement, &r.Jump, &r.score)
	}, `WITH last AS (SELECT DISTINCT s.id, s.date FROM trial t JOIN session s ON s.id = t.session
			WHERE t.athlete = ?2 AND t.task = ?3 AND (t.limb = 'both') = ?4 ORDER BY s.date DESC, s.id DESC LIMIT ?5)
		SELECT l.id, l.date, att.pain, t.limb, m.id, m.jump, sc.id FROM last l
		JOIN trial t ON t.athlete = ?2 AND t.task = ?3 AND t.session = l.id AND (t.limb = 'both') = ?4
		LEFT JOIN attendance att ON att.session = l.id AND att.athlete = ?2 `+newestScore+`
		ORDER BY l.date, l.id, t.number, t.landing`, s.Checklist, athlete, string(s.Task), s.Feet == scoring.TwoFeet, most)
	if err != nil {
		return nil, err
	}
	var out []scoring.Day
	for i, r := range rows {
		if i == 0 || r.session != rows[i-1].session {
			out = append(out, scoring.Day{Date: r.date, Pain: r.pain})
		}
		if r.Findings, err = gather(ctx, a, func(rows *sql.Rows, f *scoring.AttemptItem) error { return rows.Scan(&f.ID, &f.Finding) },
			"SELECT item, finding FROM finding WHERE score = ? ORDER BY place", r.score); err != nil {
			return nil, err
		}
		wanted := "hold_time"
		if s.Symmetry != nil {
			wanted = s.Symmetry.Measure
		}
		if r.Measures, err = gather(ctx, a, func(rows *sql.Rows, m *kinematics.Measure) error {
			return rows.Scan(&m.Name, &m.Side, &m.View, &m.Value, &m.SD, &m.Unit, &m.AtLeast)
		}, "SELECT name, side, view, value, sd, unit, at_least FROM measure WHERE measurement = ? AND name IN ('hold_time', ?)", r.measurement, wanted); err != nil {
			return nil, err
		}
		d := &out[len(out)-1]
		d.Attempts = append(d.Attempts, r.Attempt)
	}
	return out, nil
}

// sureErrors are the items that were sure errors on a date, most first.
func (a *Archive) sureErrors(ctx context.Context, items map[string]scoring.Item, athlete int64, date string) ([]ItemCount, error) {
	if date == "" {
		return nil, nil
	}
	return gather(ctx, a, func(rows *sql.Rows, c *ItemCount) error {
		if err := rows.Scan(&c.Item, &c.Trials, &c.Of); err != nil {
			return err
		}
		c.Text, c.Cue = items[c.Item].Text, items[c.Item].Cue
		return nil
	}, `SELECT f.item, count(DISTINCT iif(f.finding = 'error', t.id, NULL)) AS bad, count(DISTINCT t.id)
		FROM trial t JOIN session s ON s.id = t.session `+newestScore+` JOIN finding f ON f.score = sc.id
		WHERE t.athlete = ?2 AND s.date = ?3 AND f.finding IN ('error', 'clear', 'too_close')
		GROUP BY f.item HAVING bad > 0 ORDER BY bad DESC, f.item`, "", athlete, date)
}

// items are the items of every checklist that was used, by id; of those of one name, the
// newest.
func (a *Archive) items(ctx context.Context) (map[string]scoring.Item, error) {
	bodies, err := gather(ctx, a, func(rows *sql.Rows, s *string) error { return rows.Scan(s) }, "SELECT body FROM checklist ORDER BY id")
	out := map[string]scoring.Item{}
	for _, body := range bodies {
		var c scoring.Checklist
		if err := json.Unmarshal([]byte(body), &c); err != nil {
			return nil, err
		}
		for _, it := range c.Items {
			out[it.ID] = it
		}
	}
	return out, err
}

// History returns every measure of an athlete's newest measurements, by date, for
// scoring.NewProgress.
func (a *Archive) History(ctx context.Context, code string) ([]scoring.Taken, error) {
	return gather(ctx, a, func(rows *sql.Rows, t *scoring.Taken) error {
		m := &t.Measure
		return rows.Scan(&t.Date, &t.Task, &t.Limb, &m.Name, &m.Side, &m.View, &m.Value, &m.SD, &m.Unit, &m.Frame, &m.TimeS, &m.AtLeast)
	}, `SELECT s.date, t.task, t.limb, k.name, k.side, k.view, k.value, k.sd, k.unit, k.frame, k.time_s, k.at_least
		FROM trial t JOIN athlete a ON a.id = t.athlete JOIN session s ON s.id = t.session
		JOIN measurement m ON m.id = (SELECT max(id) FROM measurement WHERE trial = t.id)
		JOIN measure k ON k.measurement = m.id
		WHERE a.code = ? ORDER BY s.date, s.id, t.task, t.limb, t.number, t.landing, k.place`, code)
}
