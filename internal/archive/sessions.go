package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// Session is one day of testing.
type Session struct {
	ID    int64  `json:"-"`
	Date  string `json:"date"` // YYYY-MM-DD
	Title string `json:"title,omitempty"`
}

// Attendance is what an athlete said of themselves at a session, or why they were not
// there.
type Attendance struct {
	Pain   *int   // 0 to 10 as told when asked; nil: not asked
	Absent string // why; empty where they were there
}

// EnsureSession returns the session of that date and title, making it where it is not.
func (a *Archive) EnsureSession(ctx context.Context, s Session) (Session, error) {
	err := a.write(ctx, func(tx *sql.Tx) (err error) {
		s.ID, err = ensureSession(ctx, tx, s)
		return err
	})
	return s, err
}

func ensureSession(ctx context.Context, tx *sql.Tx, s Session) (id int64, err error) {
	if err := CheckDate(s.Date); err != nil {
		return 0, err
	}
	if _, err := tx.ExecContext(ctx, "INSERT INTO session (date, title) VALUES (?, ?) ON CONFLICT DO NOTHING", s.Date, s.Title); err != nil {
		return 0, err
	}
	err = tx.QueryRowContext(ctx, "SELECT id FROM session WHERE date = ? AND title = ?", s.Date, s.Title).Scan(&id)
	return id, err
}

// ErrNoSession says that there is no session of a date and title.
var ErrNoSession = errors.New("there is no session")

// SessionOn returns the session of a date. Where there are several, the title says which.
func (a *Archive) SessionOn(ctx context.Context, date, title string) (Session, error) {
	all, err := gather(ctx, a, scanSession, "SELECT id, date, title FROM session WHERE date = ? AND (? = '' OR title = ?)", date, title, title)
	switch {
	case err != nil:
		return Session{}, err
	case len(all) == 0:
		return Session{}, fmt.Errorf("%w on %s; see steadfall session list", ErrNoSession, date)
	case len(all) > 1:
		return Session{}, fmt.Errorf("there are %d sessions on %s; say which with --title", len(all), date)
	}
	return all[0], nil
}

// Session returns a session by its number.
func (a *Archive) Session(ctx context.Context, id int64) (Session, error) {
	return first(gather(ctx, a, scanSession, "SELECT id, date, title FROM session WHERE id = ?", id))
}

func scanSession(rows *sql.Rows, s *Session) error { return rows.Scan(&s.ID, &s.Date, &s.Title) }

// SessionCount is a session with what is in it.
type SessionCount struct {
	Session
	Athletes int `json:"athletes"`
	Trials   int `json:"trials"`
}

// Sessions returns all sessions, oldest first.
func (a *Archive) Sessions(ctx context.Context) ([]SessionCount, error) {
	return gather(ctx, a, func(rows *sql.Rows, s *SessionCount) error {
		return rows.Scan(&s.ID, &s.Date, &s.Title, &s.Athletes, &s.Trials)
	}, `SELECT s.id, s.date, s.title, count(DISTINCT t.athlete), count(t.id)
		FROM session s LEFT JOIN trial t ON t.session = s.id GROUP BY s.id ORDER BY s.date, s.title`)
}

// Attend records what an athlete said at a session, or that they were not there. A session
// without a number is made where there is none of its date and title.
func (a *Archive) Attend(ctx context.Context, s Session, code string, at Attendance) error {
	if at.Pain != nil && (*at.Pain < 0 || *at.Pain > 10) {
		return fmt.Errorf("pain is told from 0 (none) to 10, not %d", *at.Pain)
	}
	p, err := a.Athlete(ctx, code)
	if err != nil {
		return err
	}
	return a.write(ctx, func(tx *sql.Tx) error {
		if s.ID == 0 {
			if s.ID, err = ensureSession(ctx, tx, s); err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO attendance (session, athlete, pain, absent) VALUES (?, ?, ?, ?)
			ON CONFLICT DO UPDATE SET pain = excluded.pain, absent = excluded.absent`, s.ID, p.ID, at.Pain, at.Absent)
		return err
	})
}
