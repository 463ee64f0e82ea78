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

// Presence is what is known of an athlete without their results.
type Presence struct {
	Athlete  Athlete
	Decided  bool   // somebody decided about their step
	Step     string // as decided last; empty where all are done
	LastSeen string // date of the last session with a trial; empty for none
	Missing  bool   // no trial in the newest session
	Absent   string // why not there, where it was said
	Trials   int    // in all
}

// Presences are those of all athletes, by code, or of the one of a code.
func (a *Archive) Presences(ctx context.Context, code string) ([]Presence, error) {
	athletes, err := a.Athletes(ctx)
	if err != nil {
		return nil, err
	}
	type row struct {
		athlete int64
		Presence
		step, last sql.NullString
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
	var out []Presence
	for _, p := range athletes {
		i := slices.IndexFunc(rows, func(r row) bool { return r.athlete == p.ID })
		if i < 0 {
			continue
		}
		r := rows[i].Presence
		r.Athlete, r.Decided, r.Step, r.LastSeen = p, rows[i].step.Valid, rows[i].step.String, rows[i].last.String
		out = append(out, r)
	}
	return out, nil
}

// newestScore joins a trial t to its newest measurement m and that one's newest score sc
// by the checklist of a name.
const newestScore = `JOIN measurement m ON m.id = (SELECT max(id) FROM measurement WHERE trial = t.id)
	LEFT JOIN score sc ON sc.id = (SELECT max(x.id) FROM score x JOIN checklist c ON c.id = x.checklist
		WHERE x.measurement = m.id AND (?1 = '' OR c.name = ?1))`

// personsWord joins a finding f of a measurement m to the newest word o that a person said
// of it.
const personsWord = `LEFT JOIN override o ON o.id = (SELECT max(id) FROM override WHERE trial = m.trial AND item = f.item AND side = f.side)`

// ItemErrors is in how many trials of an athlete an item was a sure error.
type ItemErrors struct {
	Athlete    int64
	Item       string
	Trials, Of int
}

// LastErrors are the items that were sure errors in each athlete's last session, most first.
func (a *Archive) LastErrors(ctx context.Context) ([]ItemErrors, error) {
	return gather(ctx, a, func(rows *sql.Rows, r *ItemErrors) error {
		return rows.Scan(&r.Athlete, &r.Item, &r.Trials, &r.Of)
	}, `WITH last AS (SELECT a.id AS athlete, (SELECT max(s.date) FROM session s WHERE EXISTS (SELECT 1 FROM trial WHERE athlete = a.id AND session = s.id)) AS date FROM athlete a)
		SELECT t.athlete, f.item, count(DISTINCT iif(coalesce(o.finding, f.finding) = 'error', t.id, NULL)) AS bad, count(DISTINCT t.id)
		FROM last JOIN session s ON s.date = last.date JOIN trial t ON t.session = s.id AND t.athlete = last.athlete `+newestScore+`
		JOIN finding f ON f.score = sc.id `+personsWord+` WHERE coalesce(o.finding, f.finding) IN ('error', 'clear', 'too_close')
		GROUP BY t.athlete, f.item HAVING bad > 0 ORDER BY bad DESC, f.item`, "")
}

// Items are the items of every checklist that was used, by id; of those of one name, the
// newest.
func (a *Archive) Items(ctx context.Context) (map[string]scoring.Item, error) {
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
func (a *Archive) History(ctx context.Context, code string) ([]scoring.Dated, error) {
	return gather(ctx, a, func(rows *sql.Rows, t *scoring.Dated) error {
		m := &t.Measure
		return rows.Scan(&t.Date, &t.Task, &t.Limb, &m.Name, &m.Side, &m.View, &m.Value, &m.SD, &m.Unit, &m.Frame, &m.TimeS, &m.AtLeast)
	}, `SELECT s.date, t.task, t.limb, k.name, k.side, k.view, k.value, k.sd, k.unit, k.frame, k.time_s, k.at_least
		FROM trial t JOIN athlete a ON a.id = t.athlete JOIN session s ON s.id = t.session
		JOIN measurement m ON m.id = (SELECT max(id) FROM measurement WHERE trial = t.id)
		JOIN measure k ON k.measurement = m.id
		WHERE a.code = ? ORDER BY s.date, s.id, t.task, t.limb, t.number, t.landing, k.place`, code)
}

// OnDay returns a measure of everybody on a day, by athlete.
func (a *Archive) OnDay(ctx context.Context, date, measure string) (map[string][]scoring.Dated, error) {
	type row struct {
		code string
		scoring.Dated
	}
	all, err := gather(ctx, a, func(rows *sql.Rows, r *row) error {
		m := &r.Measure
		return rows.Scan(&r.code, &r.Date, &r.Task, &r.Limb, &m.Name, &m.Side, &m.View, &m.Value, &m.SD, &m.Unit)
	}, `SELECT a.code, s.date, t.task, t.limb, k.name, k.side, k.view, k.value, k.sd, k.unit
		FROM session s JOIN trial t ON t.session = s.id JOIN athlete a ON a.id = t.athlete
		JOIN measurement m ON m.id = (SELECT max(id) FROM measurement WHERE trial = t.id)
		JOIN measure k ON k.measurement = m.id AND k.name = ?2
		WHERE s.date = ?1 ORDER BY a.code, t.task, t.limb, t.number, t.landing, k.place`, date, measure)
	out := map[string][]scoring.Dated{}
	for _, r := range all {
		out[r.code] = append(out[r.code], r.Dated)
	}
	return out, err
}

// TrialScore is a trial with its newest score.
type TrialScore struct {
	Trial
	Errors, Most int
}

// Scores returns the trials of an athlete with their newest scores, by date.
func (a *Archive) Scores(ctx context.Context, code string) ([]TrialScore, error) {
	return gather(ctx, a, func(rows *sql.Rows, s *TrialScore) error {
		t := &s.Trial
		return rows.Scan(&t.ID, &t.Athlete, &t.Session.Date, &t.Task, &t.Limb, &t.Number, &t.Landing, &s.Errors, &s.Most)
	}, `SELECT t.id, a.code, s.date, t.task, t.limb, t.number, t.landing, sc.errors, sc.most
		FROM trial t JOIN athlete a ON a.id = t.athlete JOIN session s ON s.id = t.session `+newestScore+`
		WHERE a.code = ?2 AND sc.id IS NOT NULL ORDER BY s.date DESC, t.task, t.limb, t.number, t.landing`, "", code)
}

// NewestJumps are the jumps of an athlete's newest session that has any: of each result its task,
// whether it counts, and its heights.
func (a *Archive) NewestJumps(ctx context.Context, code string) (date string, results []scoring.Result, err error) {
	type row struct {
		date   string
		result scoring.Result
		jump   scoring.Verdict
		trial  int64
		m      kinematics.Measure
	}
	rows, err := gather(ctx, a, func(rows *sql.Rows, r *row) error {
		return rows.Scan(&r.date, &r.trial, &r.result.Task, &r.jump, &r.m.Name, &r.m.Side, &r.m.View, &r.m.Value, &r.m.SD, &r.m.Unit)
	}, `SELECT s.date, t.id, t.task, m.jump, k.name, k.side, k.view, k.value, k.sd, k.unit
		FROM trial t JOIN athlete a ON a.id = t.athlete JOIN session s ON s.id = t.session
		JOIN measurement m ON m.id = (SELECT max(id) FROM measurement WHERE trial = t.id)
		JOIN measure k ON k.measurement = m.id AND k.name = 'jump_height'
		WHERE a.code = ? ORDER BY s.date DESC, s.id DESC, t.id`, code)
	for i, r := range rows {
		if r.date != rows[0].date {
			break
		}
		if i == 0 || r.trial != rows[i-1].trial {
			if r.jump != "" {
				r.result.Jump = &scoring.JumpCheck{Finding: r.jump}
			}
			results = append(results, r.result)
			date = r.date
		}
		last := &results[len(results)-1]
		last.Measures = append(last.Measures, r.m)
	}
	return date, results, err
}
