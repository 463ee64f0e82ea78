package archive

import (
	"context"
	"database/sql"
)

// ToDo is a take that is to be scored, or a trial that is to be measured again.
type ToDo struct {
	ID    int64
	Take  int64 // 0 for a trial
	Trial int64 // 0 for a take
}

// ToDo returns what is to be worked on and is in no queue yet, the oldest first.
func (a *Archive) ToDo(ctx context.Context) ([]ToDo, error) {
	return gather(ctx, a, func(rows *sql.Rows, t *ToDo) error { return rows.Scan(&t.ID, &t.Take, &t.Trial) },
		"SELECT id, ifnull(take, 0), ifnull(trial, 0) FROM todo ORDER BY id")
}

// Queued notes that something to be worked on is in a queue.
func (a *Archive) Queued(ctx context.Context, t ToDo) error {
	_, err := a.db.ExecContext(ctx, "DELETE FROM todo WHERE id = ?", t.ID)
	return a.plain(err)
}

func todoTake(ctx context.Context, tx *sql.Tx, take int64) error {
	_, err := tx.ExecContext(ctx, "INSERT INTO todo (take) VALUES (?)", take)
	return err
}

func todoTrial(ctx context.Context, tx *sql.Tx, trial int64) error {
	_, err := tx.ExecContext(ctx, "INSERT INTO todo (trial) VALUES (?)", trial)
	return err
}
