package notes

import "steadfall/kinematics"

// What is said beside what kinematics says: of the clips, of who is in them, of the views
// together, and of the feet that landed. Their arguments stand beside them.
const (
	FilmedAt        kinematics.Code = "filmed_at"         // frames a second, and as it plays
	FrontCamera     kinematics.Code = "front_camera"      // which leg is taken for the left
	ShownMirrored   kinematics.Code = "shown_mirrored"    // which leg is taken for the left
	OnlyByHand      kinematics.Code = "only_by_hand"      // why there are no nets
	LegsMixedUp     kinematics.Code = "legs_mixed_up"     // pictures
	PersonMeasured  kinematics.Code = "person_measured"   // people, which of them
	CutOff          kinematics.Code = "cut_off"           // s
	Damaged         kinematics.Code = "damaged"           // s to s
	Frozen          kinematics.Code = "frozen"            // s to s, pictures
	ViewsDiffer     kinematics.Code = "views_differ"      // what; value, ±, unit and view, twice
	OtherFeet       kinematics.Code = "other_feet"        //
	FootUnseen      kinematics.Code = "foot_unseen_taken" // to have landed
	OtherFootUnseen kinematics.Code = "other_foot_unseen" //
	OtherChecklist  kinematics.Code = "other_checklist"   // its name, feet it is for, feet landed on
)

// Why a request cannot be done.
const (
	LegsOutside     kinematics.Code = "legs_outside"
	FeetOutside     kinematics.Code = "feet_outside"
	NotThatMany     kinematics.Code = "not_that_many"    // people, clip, the one asked for
	SeenFromSide    kinematics.Code = "seen_from_side"   // clip
	SeenFromFront   kinematics.Code = "seen_from_front"  // clip
	SeenFromBehind  kinematics.Code = "seen_from_behind" // clip
	SeveralPeople   kinematics.Code = "several_people"   // people, clip
	SeveralLand     kinematics.Code = "several_land"     // how many of how many, clip, who
	NoSuchLanding   kinematics.Code = "no_such_landing"  // clip, landings in it, the one asked for
	LandingsDiffer  kinematics.Code = "landings_differ"  // clip and landings in it, twice
	NoPoints        kinematics.Code = "no_points"        // clip, the placer that follows only
	PlacedElsewhere kinematics.Code = "placed_elsewhere" // file of placements, view
)

// What to do about it.
const (
	SayMirrored    kinematics.Hint = "say_mirrored"
	LookAtPoints   kinematics.Hint = "look_at_points"
	SameLanding    kinematics.Hint = "same_landing"
	SayWhichLanded kinematics.Hint = "say_which_landed"
	SayWhichFoot   kinematics.Hint = "say_which_foot"
	GiveAsSide     kinematics.Hint = "give_as_side"
	GiveAsFront    kinematics.Hint = "give_as_front"
	FilmFront      kinematics.Hint = "film_front"
	SayPerson      kinematics.Hint = "say_person"
	SayPersonOf    kinematics.Hint = "say_person_of" // who
	CutAlike       kinematics.Hint = "cut_alike"
	NamePoints     kinematics.Hint = "name_points" // the placer that follows only
)
