package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"

	"steadfall/kinematics"
	"steadfall/scoring"
)

// Athlete is one person of the squad. Only Code is needed; the zero of every other field
// is not known.
type Athlete struct {
	ID        int64           `json:"-"`
	Code      string          `json:"code"` // what files and lists know the athlete by
	Name      string          `json:"name,omitempty"`
	Sex       string          `json:"sex,omitempty"` // female, male or other
	BirthYear int             `json:"birth_year,omitempty"`
	Leg       kinematics.Side `json:"dominant_leg,omitempty"`
	HeightCM  float64         `json:"height_cm,omitempty"`
	MassKG    float64         `json:"mass_kg,omitempty"`
	Notes     string          `json:"notes,omitempty"`
	Consent   *Consent        `json:"consent,omitempty"` // the newest word on it
}

// Consent is a word on being filmed, from the athlete or a minor's guardian.
type Consent struct {
	Given bool   `json:"given"`
	Date  string `json:"date"` // YYYY-MM-DD
	By    string `json:"by"`
}

// Agreed reports whether the athlete may be filmed.
func (p Athlete) Agreed() bool { return p.Consent != nil && p.Consent.Given }

// AgeYears is the athlete's age at the end of the year of a date, 0 where not known.
func (p Athlete) AgeYears(date string) float64 {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil || p.BirthYear == 0 {
		return 0
	}
	return float64(t.Year() - p.BirthYear)
}

// Check returns what is wrong with an athlete's details, in plain words.
func (p Athlete) Check() error {
	switch {
	case p.Code == "":
		return errors.New("an athlete needs a code, a short name for files and lists")
	case strings.ContainsFunc(p.Code, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' }):
		return fmt.Errorf("the code %q may hold letters, digits and - only, so that file names can carry it", p.Code)
	case p.Sex != "" && p.Sex != "female" && p.Sex != "male" && p.Sex != "other":
		return fmt.Errorf("%s: the sex must be female, male, other or left out, not %q", p.Code, p.Sex)
	case p.Leg != "" && p.Leg != kinematics.Left && p.Leg != kinematics.Right:
		return fmt.Errorf("%s: the dominant leg must be left, right or left out, not %q", p.Code, p.Leg)
	case p.BirthYear != 0 && (p.BirthYear < 1900 || p.BirthYear > 2100):
		return fmt.Errorf("%s: the birth year %d is not a year of birth", p.Code, p.BirthYear)
	case p.HeightCM != 0 && !(p.HeightCM >= 80 && p.HeightCM <= 250):
		return fmt.Errorf("%s: the height must be between 80 and 250 cm, not %g", p.Code, p.HeightCM)
	case p.MassKG != 0 && !(p.MassKG >= 15 && p.MassKG <= 250):
		return fmt.Errorf("%s: the mass must be between 15 and 250 kg, not %g", p.Code, p.MassKG)
	case p.Consent != nil:
		return p.checkConsent()
	}
	return nil
}

// checkConsent returns what is wrong with the word on being filmed. A minor's consent is a
// guardian's to give; withdrawing it is for everybody.
func (p Athlete) checkConsent() error {
	c := *p.Consent
	if err := c.check(p.Code); err != nil {
		return err
	}
	by := strings.ToLower(strings.TrimSpace(c.By))
	own := strings.HasPrefix(by, "the athlete") || strings.EqualFold(by, strings.TrimSpace(p.Name)) || strings.EqualFold(by, p.Code)
	if c.Given && own && scoring.Minor(p.AgeYears(c.Date)) {
		return fmt.Errorf("%s: a minor's consent needs the name of a parent or guardian", p.Code)
	}
	return nil
}

func (c Consent) check(code string) error {
	if err := CheckDate(c.Date); err != nil {
		return fmt.Errorf("%s, consent: %w", code, err)
	}
	if c.By == "" {
		return fmt.Errorf("%s: say who gave the consent", code)
	}
	return nil
}

// CheckDate returns an error when a date is not YYYY-MM-DD.
func CheckDate(date string) error {
	if _, err := time.Parse(time.DateOnly, date); err != nil {
		return fmt.Errorf("%q is not a date; write it as YYYY-MM-DD", date)
	}
	return nil
}

// Put adds athletes, or changes those whose code is there already, all or none. A consent
// is added when it differs from the newest one.
func (a *Archive) Put(ctx context.Context, all ...Athlete) (added int, err error) {
	for _, p := range all {
		if err := p.Check(); err != nil {
			return 0, err
		}
	}
	err = a.write(ctx, func(tx *sql.Tx) error {
		var before, after int
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM athlete").Scan(&before); err != nil {
			return err
		}
		for _, p := range all {
			if err := a.put(ctx, tx, p); err != nil {
				return err
			}
		}
		err := tx.QueryRowContext(ctx, "SELECT count(*) FROM athlete").Scan(&after)
		added = after - before
		return err
	})
	return added, err
}

func (a *Archive) put(ctx context.Context, tx *sql.Tx, p Athlete) error {
	var id int64
	err := tx.QueryRowContext(ctx, `INSERT INTO athlete (code, name, sex, birth_year, leg, height_cm, mass_kg, notes, made)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (code) DO UPDATE SET name = excluded.name, sex = excluded.sex, birth_year = excluded.birth_year,
		leg = excluded.leg, height_cm = excluded.height_cm, mass_kg = excluded.mass_kg, notes = excluded.notes
		RETURNING id`,
		p.Code, p.Name, p.Sex, p.BirthYear, string(p.Leg), p.HeightCM, p.MassKG, p.Notes, a.stamp()).Scan(&id)
	if err != nil || p.Consent == nil {
		return err
	}
	return consent(ctx, tx, id, *p.Consent)
}

func consent(ctx context.Context, tx *sql.Tx, athlete int64, c Consent) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO consent (athlete, given, date, by_whom)
		SELECT ?1, ?2, ?3, ?4 WHERE NOT EXISTS (
			SELECT 1 FROM (SELECT * FROM consent WHERE athlete = ?1 ORDER BY id DESC LIMIT 1)
			WHERE given = ?2 AND date = ?3 AND by_whom = ?4)`, athlete, c.Given, c.Date, c.By)
	return err
}

// SetConsent records that consent was given or withdrawn.
func (a *Archive) SetConsent(ctx context.Context, code string, c Consent) error {
	p, err := a.Athlete(ctx, code)
	if err != nil {
		return err
	}
	p.Consent = &c
	if err := p.checkConsent(); err != nil {
		return err
	}
	return a.write(ctx, func(tx *sql.Tx) error { return consent(ctx, tx, p.ID, c) })
}

const athleteColumns = `a.id, a.code, a.name, a.sex, a.birth_year, a.leg, a.height_cm, a.mass_kg, a.notes,
	c.given, c.date, c.by_whom
	FROM athlete a LEFT JOIN consent c ON c.id = (SELECT max(id) FROM consent WHERE athlete = a.id)`

func scanAthlete(rows *sql.Rows, p *Athlete) error {
	var given sql.NullBool
	var date, by sql.NullString
	err := rows.Scan(&p.ID, &p.Code, &p.Name, &p.Sex, &p.BirthYear, &p.Leg, &p.HeightCM, &p.MassKG, &p.Notes, &given, &date, &by)
	if given.Valid {
		p.Consent = &Consent{given.Bool, date.String, by.String}
	}
	return err
}

// Athletes returns the squad by code.
func (a *Archive) Athletes(ctx context.Context) ([]Athlete, error) {
	return gather(ctx, a, scanAthlete, "SELECT "+athleteColumns+" ORDER BY a.code COLLATE NOCASE")
}

// Athlete returns the athlete of that code.
func (a *Archive) Athlete(ctx context.Context, code string) (Athlete, error) {
	all, err := gather(ctx, a, scanAthlete, "SELECT "+athleteColumns+" WHERE a.code = ?", code)
	if err != nil {
		return Athlete{}, err
	}
	if len(all) == 0 {
		return Athlete{}, fmt.Errorf("there is no athlete %q in the archive; see steadfall athlete list", code)
	}
	return all[0], nil
}
