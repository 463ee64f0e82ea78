package archive

import (
	"bytes"
	"compress/gzip"
	"context"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// measured is a result in the form it is kept: its measures row by row, their draws
// packed, everything else but the score as one packed text.
type measured struct {
	measures []kinematics.Measure
	jump     string
	missing  []byte // JSON
	detail   []byte
	draws    []byte
}

func newMeasured(r scoring.Result) (measured, error) {
	m := measured{measures: r.Measures, draws: packDraws(r.Measures)}
	m.jump = string(r.AsAsked())
	var err error
	if m.missing, err = json.Marshal(r.Missing); err != nil {
		return m, err
	}
	r.Measures, r.Missing, r.Score = nil, nil, scoring.Score{}
	var b bytes.Buffer
	z, _ := gzip.NewWriterLevel(&b, gzip.BestSpeed) // the level is a valid one
	if err := json.NewEncoder(z).Encode(r); err != nil {
		return m, fmt.Errorf("the result could not be written: %w", err)
	}
	err = z.Close()
	m.detail = b.Bytes()
	return m, err
}

func (a *Archive) addMeasured(ctx context.Context, tx *sql.Tx, trial int64, tool string, m measured) (id int64, err error) {
	err = tx.QueryRowContext(ctx, "INSERT INTO measurement (trial, made, tool, jump, missing, detail, draws) VALUES (?, ?, ?, ?, ?, ?, ?) RETURNING id",
		trial, a.stamp(), tool, m.jump, string(m.missing), m.detail, m.draws).Scan(&id)
	if err != nil {
		return 0, err
	}
	put, err := tx.PrepareContext(ctx, "INSERT INTO measure VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)")
	if err != nil {
		return 0, err
	}
	defer put.Close()
	for i, k := range m.measures {
		if _, err := put.ExecContext(ctx, id, i, k.Name, string(k.Side), string(k.View), k.Value, k.SD, k.Unit, k.Frame, k.TimeS, k.AtLeast); err != nil {
			return 0, err
		}
	}
	return id, nil
}

// packDraws writes each measure's draws as their number (2 bytes) and that many 32-bit
// floats, little-endian. A 32-bit float keeps seven digits, far under any measure's sd.
func packDraws(ms []kinematics.Measure) []byte {
	var b []byte
	for _, m := range ms {
		b = binary.LittleEndian.AppendUint16(b, uint16(len(m.Draws)))
		for _, v := range m.Draws {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
		}
	}
	return b
}

// unpackDraws gives the measures their draws back.
func unpackDraws(b []byte, ms []kinematics.Measure) error {
	for i := range ms {
		if len(b) < 2 {
			return fmt.Errorf("the draws of a measurement are cut short")
		}
		n := int(binary.LittleEndian.Uint16(b))
		if b = b[2:]; len(b) < 4*n {
			return fmt.Errorf("the draws of a measurement are cut short")
		}
		ms[i].Draws = make([]float64, n)
		for j := range n {
			ms[i].Draws[j] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[4*j:])))
		}
		b = b[4*n:]
	}
	return nil
}

// measures reads the measures of a measurement, with their draws.
func (a *Archive) measures(ctx context.Context, measurement int64, draws []byte) ([]kinematics.Measure, error) {
	ms, err := gather(ctx, a, func(rows *sql.Rows, m *kinematics.Measure) error {
		return rows.Scan(&m.Name, &m.Side, &m.View, &m.Value, &m.SD, &m.Unit, &m.Frame, &m.TimeS, &m.AtLeast)
	}, "SELECT name, side, view, value, sd, unit, frame, time_s, at_least FROM measure WHERE measurement = ? ORDER BY place", measurement)
	if err != nil {
		return nil, err
	}
	return ms, unpackDraws(draws, ms)
}

// Scored is one result of a trial: a measuring by one version of the tool, scored by one
// checklist.
type Scored struct {
	ID     int64          `json:"-"` // of the score
	Made   string         `json:"made"`
	Tool   string         `json:"tool"` // that scored it
	Result scoring.Result `json:"result"`
}

// Results returns every result of a trial, the newest last.
func (a *Archive) Results(ctx context.Context, trial int64) ([]Scored, error) {
	type row struct {
		Scored
		measurement   int64
		tool, missing string
		detail, draws []byte
		checklist     string
		score         scoring.Score
	}
	rows, err := gather(ctx, a, func(rows *sql.Rows, r *row) error {
		return rows.Scan(&r.ID, &r.Made, &r.Tool, &r.measurement, &r.tool, &r.missing, &r.detail, &r.draws, &r.checklist, &r.score.Errors, &r.score.Expected, &r.score.Low, &r.score.High, &r.score.Most)
	}, `SELECT sc.id, sc.made, sc.tool, m.id, m.tool, m.missing, m.detail, m.draws, c.body, sc.errors, sc.expected, sc.low, sc.high, sc.most
		FROM measurement m JOIN score sc ON sc.measurement = m.id JOIN checklist c ON c.id = sc.checklist
		WHERE m.trial = ? ORDER BY m.id, sc.id`, trial)
	if err != nil {
		return nil, err
	}
	var out []Scored
	for _, r := range rows {
		z, err := gzip.NewReader(bytes.NewReader(r.detail))
		if err != nil {
			return nil, err
		}
		if err := json.NewDecoder(z).Decode(&r.Result); err != nil {
			return nil, err
		}
		if err := json.Unmarshal([]byte(r.missing), &r.Result.Missing); err != nil {
			return nil, err
		}
		if r.Result.Measures, err = a.measures(ctx, r.measurement, r.draws); err != nil {
			return nil, err
		}
		r.Result.Tool = r.tool
		if r.Result.Score, err = a.score(ctx, r.ID, r.checklist, r.score); err != nil {
			return nil, err
		}
		out = append(out, r.Scored)
	}
	return out, nil
}

// Newest returns the newest result of a trial, with what people said of its findings.
func (a *Archive) Newest(ctx context.Context, trial int64) (scoring.Result, error) {
	all, err := a.Results(ctx, trial)
	if err != nil {
		return scoring.Result{}, err
	}
	if len(all) == 0 {
		return scoring.Result{}, fmt.Errorf("trial %d has no result; score it with steadfall archive rescore", trial)
	}
	r := all[len(all)-1].Result
	words, err := a.Overrides(ctx, trial)
	r.Score = r.Score.Overridden(words)
	return r, err
}
