package kinematics

import (
	"fmt"
	"math"
	"strings"
)

// Note is a remark as data: what is to be said of a track, of a number, or of one that is
// missing. Its words, in whatever language, are made where it is shown.
type Note struct {
	Code     Code     `json:"code"`
	Severity Severity `json:"severity"`
	View     View     `json:"view,omitempty"` // that it is about; empty where it is about none
	Args     []any    `json:"args,omitempty"` // numbers (float64) and words (string), for the code's words and then the hint's
	Hint     Hint     `json:"hint,omitempty"`
}

// Code names what a Note says.
type Code string

// Hint names what to do about it.
type Hint string

// Severity is what a note means for the result that it is part of.
type Severity string

// The severities, the mildest first.
const (
	Info    Severity = "info"    // it explains a number, or why there is none
	Warning Severity = "warning" // the result stands with a caveat
	Doubt   Severity = "doubt"   // nothing that rests on times or lengths is told
	Refusal Severity = "refusal" // nothing is told
)

// String is the note for logs and tests.
func (n Note) String() string {
	return strings.TrimSpace(fmt.Sprintln(append([]any{n.Code}, n.Args...)...))
}

// Words names the landmark in a sentence.
func (l Landmark) Words() string { return string(l.Side()) + " " + string(l.Part()) }

// What is said of a landing that was measured. Their arguments stand beside them.
const (
	NoteFeetCross      Code = "feet_cross"       // s
	NoteLegsSwapped    Code = "legs_swapped"     // s
	NotePointWild      Code = "point_wild"       // landmark, s, number of points
	NoteHeightsDiffer  Code = "heights_differ"   // cm ± cm by the time in the air, cm ± cm by the hips
	NoteLeans          Code = "leans"            // degrees
	NoteNearer         Code = "nearer"           // % ± %
	NoteOffAxis        Code = "off_axis"         // degrees
	NoteBoxTime        Code = "box_time"         // s ± s in the air, cm, s of a free fall
	NoteScalesDiffer   Code = "scales_differ"    // cm per px ± by the length, by the height
	NoteStandingUnseen Code = "standing_unseen"  //
	NoteKneeLeftPlane  Code = "knee_left_plane"  //
	NoteFall           Code = "fall"             // m/s² ± m/s²
	NoteSlowMotion     Code = "slow_motion"      // times slower, frames a second
	NoteGiant          Code = "giant"            // cm
	NoteFallGaveScale  Code = "fall_gave_scale"  //
	NoteNoFlight       Code = "no_flight"        //
	NoteUnseenInFlight Code = "unseen_in_flight" //
	NoteNoScale        Code = "no_scale"         //
	NoteInDoubt        Code = "in_doubt"         // of a measure that is withheld
	NoteUnsurePoints   Code = "unsure_points"    // of a measure
)

// Why there is no landing to be measured.
const (
	NoLandingLowestLost Code = "no_landing_lowest_lost"
	NoLandingClipEnds   Code = "no_landing_clip_ends"
	NoLandingNoFoot     Code = "no_landing_no_foot"
	NoLandingSlowMotion Code = "no_landing_slow_motion" // times slower, frames a second
	NoLandingRunsOn     Code = "no_landing_runs_on"
	NoLandingStartsLate Code = "no_landing_starts_late"
	NoLandingEndsInAir  Code = "no_landing_ends_in_air"
	NoLandingNoFall     Code = "no_landing_no_fall" // body heights a second: the fastest, and what a landing needs
	NoLandingNoRest     Code = "no_landing_no_rest"
)

// Why a track cannot be measured.
const (
	TrackTooShort      Code = "track_too_short"
	TrackTimesWrong    Code = "track_times_wrong" // frames a second, longest gap s
	TrackTooFewFrames  Code = "track_few_frames"  // frames a second
	TrackHipsBrief     Code = "track_hips_brief"
	TrackHipsAbsent    Code = "track_hips_absent"
	TrackHipsApart     Code = "track_hips_apart"
	TrackUpsideDown    Code = "track_upside_down"
	TrackPointsJump    Code = "track_points_jump" // landmark
	TrackNoPerson      Code = "track_no_person"
	TrackSeenFromSide  Code = "track_seen_from_side"
	TrackSeenFromFront Code = "track_seen_from_front"
	TrackSidesSwapped  Code = "track_sides_swapped"
)

// What to do.
const (
	HintCheckPoints   Hint = "check_points"    // on the pictures
	HintCheckSwapped  Hint = "check_swapped"   // legs, on the pictures
	HintCheckPoint    Hint = "check_point"     // the one, on the pictures
	HintCheckJump     Hint = "check_jump"      // scale, take-off and landing
	HintGivePlumb     Hint = "give_plumb"      // an upright line of the picture
	HintFilmFurther   Hint = "film_further"    // away
	HintCentre        Hint = "centre"          // the athlete in the picture
	HintLongerFall    Hint = "longer_fall"     // than from the box
	HintShorterFall   Hint = "shorter_fall"    // than from the box
	HintCheckScales   Hint = "check_scales"    // the length and the height
	HintFilmStanding  Hint = "film_standing"   // before the step-off
	HintCheckTimeBase Hint = "check_time_base" // the rate it was filmed at, height, length
	HintGiveRate      Hint = "give_rate"       // it was filmed at; frames a second
	HintGiveLength    Hint = "give_length"     // or the height
	HintRightClip     Hint = "right_clip"      // and task, and rate
	HintMirrored      Hint = "mirrored"        // or filmed from behind
)

// NoLandingError says why no landing was found in a track.
type NoLandingError struct{ Note Note }

func (e *NoLandingError) Error() string { return "no landing found: " + e.Note.String() }

// Remark is why.
func (e *NoLandingError) Remark() Note { return e.Note }

// TrackError says why a track cannot be measured, whether somebody lands in it or not.
type TrackError struct{ Note Note }

func (e *TrackError) Error() string { return "the track cannot be measured: " + e.Note.String() }

// Remark is why.
func (e *TrackError) Remark() Note { return e.Note }

// warning is a caveat.
func warning(code Code, hint Hint, args ...any) Note {
	return Note{Code: code, Severity: Warning, Args: args, Hint: hint}
}

// info explains a number, or why there is none.
func info(code Code) *Note { return &Note{Code: code, Severity: Info} }

// refused is why nothing is measured.
func refused(code Code, hint Hint, args ...any) Note {
	return Note{Code: code, Severity: Refusal, Args: args, Hint: hint}
}

func noLanding(code Code) error { return &NoLandingError{refused(code, "")} }

func badTrack(code Code, args ...any) error { return &TrackError{refused(code, "", args...)} }

// slowMotion is said of a clip that seems to play k times too slowly at fs frames a second.
func slowMotion(k, fs float64) Note {
	return Note{Code: NoteSlowMotion, Severity: Info, Args: []any{k, math.Round(fs * k)}, Hint: HintGiveRate}
}
