package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"steadfall/internal/archive"
	"steadfall/kinematics"
	"steadfall/report/squad"
	"steadfall/scoring"
)

// printScore prints the findings as a table, the surest errors' words unchanged.
func printScore(w io.Writer, s scoring.Score) {
	fmt.Fprintf(w, "%s: %d sure points of %d, expected %.1f (9 times in 10 between %d and %d)\n", s.Title, s.Errors, s.Most, s.Expected, s.Low, s.High)
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	for _, f := range s.Items {
		if f.Value == nil {
			fmt.Fprintf(t, "  %s\t%s\t%s\t%s\n", f.Finding, f.ID, side(f), f.Why)
			continue
		}
		fmt.Fprintf(t, "  %s\t%s\t%s\t%.2f ± %.2f %s, error %s %g\n", f.Finding, f.ID, side(f), *f.Value, *f.SD, f.Unit, f.ErrorWhen, *f.Threshold)
	}
	t.Flush()
}

func side(f scoring.Finding) string {
	if f.Side == kinematics.Both {
		return ""
	}
	return string(f.Side)
}

func printSquad(w io.Writer, rows []squad.Row) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	for _, r := range rows {
		why := slices.Concat(r.Standing.Physio, r.Standing.Because)
		if r.Missing {
			why = slices.Insert(why, 0, scoring.Sentence{Words: strings.TrimSpace("last seen " + orDash(r.LastSeen != "", "%s", r.LastSeen) + " " + r.Absent)})
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\n", r.Code, strings.ReplaceAll(r.Group(), "_", " "), r.Standing.Title, why)
	}
	return t.Flush()
}

// kappaWords is kappa, or why there is none.
func kappaWords(k scoring.Kappa) string {
	if math.IsNaN(k.Kappa) {
		return "cannot be told, since both gave one answer only"
	}
	return fmt.Sprintf("%.2f", k.Kappa)
}

func orDash(known bool, format string, v any) string {
	if !known {
		return "–"
	}
	return fmt.Sprintf(format, v)
}

func consentWords(p archive.Athlete) string {
	switch {
	case p.Consent == nil:
		return "not on record"
	case p.Consent.Given:
		return fmt.Sprintf("by %s, %s", p.Consent.By, p.Consent.Date)
	}
	return fmt.Sprintf("withdrawn by %s, %s", p.Consent.By, p.Consent.Date)
}

// printJSON prints a value as indented JSON.
func printJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	return e.Encode(v)
}
