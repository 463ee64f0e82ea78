package archive

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/base64"
	"errors"
	"fmt"
	"time"
)

// Role is what a member of the staff may do.
type Role string

// The roles. A coach runs sessions and decides; a physio reads everything and shares; an
// admin also manages staff and deletes.
const (
	Coach  Role = "coach"
	Physio Role = "physio"
	Admin  Role = "admin"
)

// Staff is somebody who may sign in.
type Staff struct {
	ID       int64
	Name     string
	Role     Role
	Password string // as it is kept: argon2id
}

// ErrNoEntry says that a sign-in, a token or a link opens nothing.
var ErrNoEntry = errors.New("this opens nothing")

// AddStaff adds somebody who may sign in; password is its hash.
func (a *Archive) AddStaff(ctx context.Context, s Staff) error {
	return a.write(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, "INSERT INTO staff (name, role, password, made) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING", s.Name, string(s.Role), s.Password, a.stamp())
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err == nil && n == 0 {
			return fmt.Errorf("there is somebody called %q already; choose another name", s.Name)
		}
		return nil
	})
}

// Staff lists who may sign in, by name.
func (a *Archive) Staff(ctx context.Context) ([]Staff, error) {
	return gather(ctx, a, scanStaff, "SELECT id, name, role, password FROM staff ORDER BY name COLLATE NOCASE")
}

// StaffNamed returns who is called that, or ErrNoEntry.
func (a *Archive) StaffNamed(ctx context.Context, name string) (Staff, error) {
	return first(gather(ctx, a, scanStaff, "SELECT id, name, role, password FROM staff WHERE name = ?", name))
}

func scanStaff(rows *sql.Rows, s *Staff) error {
	return rows.Scan(&s.ID, &s.Name, &s.Role, &s.Password)
}

// first is the only row of a query, or ErrNoEntry.
func first[T any](all []T, err error) (T, error) {
	var none T
	switch {
	case err != nil:
		return none, err
	case len(all) == 0:
		return none, ErrNoEntry
	}
	return all[0], nil
}

// RemoveStaff takes away somebody's account and signs them out.
func (a *Archive) RemoveStaff(ctx context.Context, name string) error {
	_, err := a.db.ExecContext(ctx, "DELETE FROM staff WHERE name = ?", name)
	return a.plain(err)
}

// newToken is 32 random bytes as text.
func newToken() string {
	b := make([]byte, 32)
	_, _ = rand.Read(b) // never fails, says its documentation
	return base64.RawURLEncoding.EncodeToString(b)
}

// Login is a signed-in browser.
type Login struct {
	Staff Staff
	CSRF  string // must come back with every change
}

// SignIn starts a login and returns its token, of which only the hash is kept.
func (a *Archive) SignIn(ctx context.Context, s Staff, until time.Time) (token string, err error) {
	token = newToken()
	err = a.write(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, "DELETE FROM login WHERE expires < ?", a.now().Unix()); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, "INSERT INTO login (token, staff, csrf, expires) VALUES (?, ?, ?, ?)", hashOf([]byte(token)), s.ID, newToken(), until.Unix())
		return err
	})
	return token, err
}

// SignedIn returns the login of a token, or ErrNoEntry.
func (a *Archive) SignedIn(ctx context.Context, token string) (Login, error) {
	return first(gather(ctx, a, func(rows *sql.Rows, l *Login) error {
		return rows.Scan(&l.Staff.ID, &l.Staff.Name, &l.Staff.Role, &l.CSRF)
	}, "SELECT s.id, s.name, s.role, l.csrf FROM login l JOIN staff s ON s.id = l.staff WHERE l.token = ? AND l.expires > ?", hashOf([]byte(token)), a.now().Unix()))
}

// SignOut ends a login.
func (a *Archive) SignOut(ctx context.Context, token string) error {
	_, err := a.db.ExecContext(ctx, "DELETE FROM login WHERE token = ?", hashOf([]byte(token)))
	return a.plain(err)
}

// Share is a link that shows one athlete their own page.
type Share struct {
	ID      int64     `json:"id"`
	Athlete string    `json:"-"` // code
	By      string    `json:"by"`
	Made    string    `json:"made"`
	Expires time.Time `json:"expires"`
	Revoked bool      `json:"revoked"`
}

// NewShare makes a link for an athlete and returns its token, of which only the hash is
// kept.
func (a *Archive) NewShare(ctx context.Context, code, by string, until time.Time) (token string, err error) {
	p, err := a.Athlete(ctx, code)
	if err != nil {
		return "", err
	}
	token = newToken()
	err = a.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO share (token, athlete, by_whom, made, expires) VALUES (?, ?, ?, ?, ?)", hashOf([]byte(token)), p.ID, by, a.stamp(), until.Unix())
		return err
	})
	return token, err
}

// Shared returns what a link's token opens, or ErrNoEntry when it is unknown, expired or
// revoked.
func (a *Archive) Shared(ctx context.Context, token string) (Share, error) {
	return first(gather(ctx, a, scanShare, shareColumns+" WHERE s.token = ? AND s.expires > ? AND NOT s.revoked", hashOf([]byte(token)), a.now().Unix()))
}

// Shares lists the links of an athlete, the newest first.
func (a *Archive) Shares(ctx context.Context, code string) ([]Share, error) {
	return gather(ctx, a, scanShare, shareColumns+" WHERE a.code = ? ORDER BY s.id DESC", code)
}

const shareColumns = "SELECT s.id, a.code, s.by_whom, s.made, s.expires, s.revoked FROM share s JOIN athlete a ON a.id = s.athlete"

func scanShare(rows *sql.Rows, s *Share) error {
	var expires int64
	err := rows.Scan(&s.ID, &s.Athlete, &s.By, &s.Made, &expires, &s.Revoked)
	s.Expires = time.Unix(expires, 0)
	return err
}

// Revoke closes a link of an athlete for good.
func (a *Archive) Revoke(ctx context.Context, code string, id int64) error {
	return a.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE share SET revoked = 1 WHERE id = ? AND athlete = (SELECT id FROM athlete WHERE code = ?)", id, code)
		return err
	})
}

// Audited is one line of who did what.
type Audited struct {
	At      string `json:"at"`
	Who     string `json:"who"`
	Did     string `json:"did"`
	Athlete string `json:"-"` // code; empty where it was about nobody
}

// Audit notes who did what, to whom (a code; may be empty). What was done must hold no
// name of an athlete.
func (a *Archive) Audit(ctx context.Context, who, did, code string) error {
	_, err := a.db.ExecContext(ctx, "INSERT INTO audit (at, who, did, athlete) VALUES (?, ?, ?, (SELECT id FROM athlete WHERE code = ?))", a.stamp(), who, did, code)
	return a.plain(err)
}

// Audits returns the newest lines, newest first.
func (a *Archive) Audits(ctx context.Context, most int) ([]Audited, error) {
	return a.audits(ctx, "u.id > (SELECT coalesce(max(id), 0) FROM audit) - ?", most)
}

func (a *Archive) audits(ctx context.Context, where string, arg any) ([]Audited, error) {
	return gather(ctx, a, func(rows *sql.Rows, l *Audited) error { return rows.Scan(&l.At, &l.Who, &l.Did, &l.Athlete) },
		"SELECT u.at, u.who, u.did, coalesce(a.code, '') FROM audit u LEFT JOIN athlete a ON a.id = u.athlete WHERE "+where+" ORDER BY u.id DESC", arg)
}
