package archive

import (
	"context"
	"database/sql"
	"encoding/json"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// daysQuery finds the trials of the last ?5 sessions in which athlete ?2 did task ?3 on two
// feet (?4) or one, oldest first, each with its newest score by the checklist ?1.
const daysQuery = `WITH last AS (SELECT DISTINCT s.id, s.date FROM trial t JOIN session s ON s.id = t.session
		WHERE t.athlete = ?2 AND t.task = ?3 AND (t.limb = 'both') = ?4 ORDER BY s.date DESC, s.id DESC LIMIT ?5)
	SELECT l.id, l.date, att.pain, t.limb, m.id, m.jump, sc.id FROM last l
	JOIN trial t ON t.athlete = ?2 AND t.task = ?3 AND t.session = l.id AND (t.limb = 'both') = ?4
	LEFT JOIN attendance att ON att.session = l.id AND att.athlete = ?2 ` + newestScore + `
	ORDER BY l.date, l.id, t.number, t.landing`

// Recent asks for the last sessions in which an athlete did a task, as they count for a step of
// a ladder.
type Recent struct {
	Athlete   int64
	Task      kinematics.Task
	TwoFeet   bool
	Checklist string // findings are by it; empty for whichever scored last
	Sessions  int    // at most
	Measure   string // wanted beside how long holds lasted; empty for none
}

// Days answers each question with its days, oldest first: the trials of all are found first, then
// what was found and measured in all of them is read at once.
func (a *Archive) Days(ctx context.Context, asked []Recent) ([][]scoring.Day, error) {
	find, err := a.db.PrepareContext(ctx, daysQuery)
	if err != nil {
		return nil, a.plain(err)
	}
	defer find.Close()
	var d dayReader
	for i, r := range asked {
		if err := d.find(ctx, find, i, r); err != nil {
			return nil, a.plain(err)
		}
	}
	if err := d.read(ctx, a); err != nil {
		return nil, err
	}
	out := make([][]scoring.Day, len(asked))
	for i := range asked {
		out[i] = d.of(i)
	}
	return out, nil
}

// dayReader holds the trials that were found.
type dayReader struct{ found []attempt }

// attempt is one trial of an answer.
type attempt struct {
	asked       int // which question it answers
	session     int64
	date        string
	pain        *int
	measurement int64
	score       sql.NullInt64
	wanted      string // measure
	scoring.Attempt
}

func (d *dayReader) find(ctx context.Context, query *sql.Stmt, asked int, r Recent) error {
	rows, err := query.QueryContext(ctx, r.Checklist, r.Athlete, string(r.Task), r.TwoFeet, r.Sessions)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		t := attempt{asked: asked, wanted: r.Measure}
		if err := rows.Scan(&t.session, &t.date, &t.pain, &t.Limb, &t.measurement, &t.AsAsked, &t.score); err != nil {
			return err
		}
		d.found = append(d.found, t)
	}
	return rows.Err()
}

// read fills in the findings and measures of everything found.
func (d *dayReader) read(ctx context.Context, a *Archive) error {
	byScore, byMeasurement := map[int64]*attempt{}, map[int64]*attempt{}
	var scores, measurements []int64
	names := []string{"hold_time"}
	for i := range d.found {
		t := &d.found[i]
		byMeasurement[t.measurement] = t
		measurements = append(measurements, t.measurement)
		if t.score.Valid {
			byScore[t.score.Int64] = t
			scores = append(scores, t.score.Int64)
		}
		if t.wanted != "" {
			names = append(names, t.wanted)
		}
	}
	type finding struct {
		score int64
		scoring.AttemptItem
	}
	findings, err := gather(ctx, a, func(rows *sql.Rows, f *finding) error { return rows.Scan(&f.score, &f.ID, &f.Finding, &f.Probability) },
		`SELECT f.score, f.item, coalesce(o.finding, f.finding), iif(o.finding IS NULL, f.probability, o.finding = 'error')
		FROM finding f JOIN score sc ON sc.id = f.score JOIN measurement m ON m.id = sc.measurement `+personsWord+`
		WHERE f.score IN (SELECT value FROM json_each(?)) ORDER BY f.score, f.place`, list(scores))
	if err != nil {
		return err
	}
	for _, f := range findings {
		t := byScore[f.score]
		t.Findings = append(t.Findings, f.AttemptItem)
	}
	type measure struct {
		measurement int64
		kinematics.Measure
	}
	measures, err := gather(ctx, a, func(rows *sql.Rows, m *measure) error {
		return rows.Scan(&m.measurement, &m.Name, &m.Side, &m.View, &m.Value, &m.SD, &m.Unit, &m.AtLeast)
	}, `SELECT measurement, name, side, view, value, sd, unit, at_least FROM measure
		WHERE measurement IN (SELECT value FROM json_each(?)) AND name IN (SELECT value FROM json_each(?)) ORDER BY measurement, place`, list(measurements), list(names))
	for _, m := range measures {
		t := byMeasurement[m.measurement]
		t.Measures = append(t.Measures, m.Measure)
	}
	return err
}

// list is a list as SQLite's json_each takes it.
func list[T any](v []T) string {
	b, _ := json.Marshal(v) // numbers and words always can be
	return string(b)
}

// of are the days that answer a question.
func (d *dayReader) of(asked int) []scoring.Day {
	var out []scoring.Day
	last := int64(0)
	for _, t := range d.found {
		if t.asked != asked {
			continue
		}
		if len(out) == 0 || t.session != last {
			out = append(out, scoring.Day{Date: t.date, Pain: t.pain})
			last = t.session
		}
		day := &out[len(out)-1]
		day.Attempts = append(day.Attempts, t.Attempt)
	}
	return out
}
