package archive

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"

	"steadfall/scoring"
)

func hashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// ensureChecklist keeps a checklist word for word and returns its number.
func ensureChecklist(ctx context.Context, tx *sql.Tx, c scoring.Checklist) (id int64, err error) {
	body, err := json.Marshal(c)
	if err != nil {
		return 0, err
	}
	hash := hashOf(body)
	if _, err := tx.ExecContext(ctx, "INSERT INTO checklist (hash, name, body) VALUES (?, ?, ?) ON CONFLICT DO NOTHING", hash, c.Name, string(body)); err != nil {
		return 0, err
	}
	err = tx.QueryRowContext(ctx, "SELECT id FROM checklist WHERE hash = ?", hash).Scan(&id)
	return id, err
}

func (a *Archive) addScore(ctx context.Context, tx *sql.Tx, measurement, checklist int64, tool string, s scoring.Score) error {
	var id int64
	err := tx.QueryRowContext(ctx, `INSERT INTO score (measurement, checklist, made, tool, errors, expected, low, high, most)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		measurement, checklist, a.stamp(), tool, s.Errors, s.Expected, s.Low, s.High, s.Most).Scan(&id)
	if err != nil {
		return err
	}
	put, err := tx.PrepareContext(ctx, "INSERT INTO finding VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)")
	if err != nil {
		return err
	}
	defer put.Close()
	for i, f := range s.Items {
		if _, err := put.ExecContext(ctx, id, i, f.ID, string(f.Side), string(f.Finding), f.Points, f.Probability, f.Value, f.SD, string(f.View), f.Frame, f.TimeS, f.Why); err != nil {
			return err
		}
	}
	return nil
}

// score reads the findings of a score and gives them the words of its checklist.
func (a *Archive) score(ctx context.Context, id int64, checklist string, s scoring.Score) (scoring.Score, error) {
	var c scoring.Checklist
	if err := json.Unmarshal([]byte(checklist), &c); err != nil {
		return s, err
	}
	s.Checklist, s.Title = c.Name, c.Title
	items := map[string]scoring.Item{}
	for _, it := range c.Items {
		items[it.ID] = it
	}
	var err error
	s.Items, err = gather(ctx, a, func(rows *sql.Rows, f *scoring.Finding) error {
		var item string
		if err := rows.Scan(&item, &f.Side, &f.Finding, &f.Points, &f.Probability, &f.Value, &f.SD, &f.View, &f.Frame, &f.TimeS, &f.Why); err != nil {
			return err
		}
		*f = items[item].Worded(*f)
		return nil
	}, "SELECT item, side, finding, points, probability, value, sd, view, frame, time_s, why FROM finding WHERE score = ? ORDER BY place", id)
	return s, err
}
