package notes

import (
	"errors"
	"strconv"
	"strings"

	"steadfall/kinematics"
)

// Error is why something could not be done, as data. What it says by itself is for a command line.
type Error struct {
	File  string            // that it is about; empty for none
	Notes []kinematics.Note // why, and what else is known
	Cause error             // nil where there is no other
}

func (e *Error) Error() string { return e.At(CommandLine) }

// Unwrap is the cause.
func (e *Error) Unwrap() error { return e.Cause }

// At is the error in English at a place.
func (e *Error) At(at Place) string {
	var said []string
	for _, n := range e.Notes {
		said = append(said, English(n, at))
	}
	if e.File == "" {
		return strings.Join(said, "; ")
	}
	return strconv.Quote(e.File) + ": " + strings.Join(said, "; ")
}

// Refuse is an error of one note.
func Refuse(code kinematics.Code, hint kinematics.Hint, args ...any) error {
	return &Error{Notes: []kinematics.Note{{Code: code, Severity: kinematics.Refusal, Hint: hint, Args: args}}}
}

// In says of an error that it is about a file. An error without notes is told in its own words.
func In(file string, err error, more ...kinematics.Note) error {
	e := &Error{File: file, Cause: err}
	var has interface{ Remark() kinematics.Note }
	var other *Error
	switch {
	case errors.As(err, &other):
		e.Notes = other.Notes
	case errors.As(err, &has):
		e.Notes = []kinematics.Note{has.Remark()}
	default:
		e.Notes = []kinematics.Note{Told(err.Error())}
	}
	e.Notes = append(e.Notes[:len(e.Notes):len(e.Notes)], more...)
	return e
}
