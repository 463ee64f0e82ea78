package notes

import "steadfall/kinematics"

const (
	noLanding = "no landing found in this clip: "
	doubtful  = "the clip's times or the lengths given cannot be trusted"
	preface   = doubtful + ", so nothing that rests on them is told:"
	stepBack  = "; step back or aim lower, so that the whole athlete is seen from before the step-off until after the hold"
)

// remarks are what each code that a result may hold says in English, as fmt has it.
var remarks = map[kinematics.Code]string{
	kinematics.NoteFeetCross:          "the feet cross in the picture at %.2f s, where left and right are easily mixed up",
	kinematics.NoteLegsSwapped:        "left and right leg change places in the points at %.2f s",
	kinematics.NotePointWild:          "the point of the %s lies where it cannot be at %.2f s and is left out (such points: %.0f)",
	kinematics.NoteHeightsDiffer:      "the jump is %.1f ± %.1f cm high by its time in the air and %.1f ± %.1f cm by the hips",
	kinematics.NoteLeans:              "the athlete leans by %.0f° in the picture while standing",
	kinematics.NoteNearer:             "the athlete came nearer to the camera and looks %.0f ± %.0f %% larger at landing",
	kinematics.NoteOffAxis:            "the athlete lands %.0f° beside the middle of the picture, where a bent knee, which is nearer to the camera than the ankle, looks moved outwards",
	kinematics.NoteBoxTime:            "the feet were in the air for %.2f ± %.2f s, but a fall from a box of %.0f cm takes %.2f s",
	kinematics.NoteScalesDiffer:       "the known length and the athlete's height disagree: %.3f ± %.3f and %.3f ± %.3f cm per pixel",
	kinematics.NoteStandingUnseen:     "the athlete was not seen standing tall before the landing, so lengths told from their height are rough",
	kinematics.NoteKneeLeftPlane:      "the knee left the side plane (fell in or out), so its flexion is told from the leg's standing lengths where the picture shows too little",
	kinematics.NoteFall:               "bodies fall at %.1f ± %.1f m/s² in it, not at 9.81",
	kinematics.NoteSlowMotion:         "bodies fall as in %.0f× slow motion",
	kinematics.NoteGiant:              "the fall would make the athlete %.0f cm tall",
	kinematics.NoteFallGaveScale:      "the fall itself gave the scale",
	kinematics.NoteNoFlight:           "there is no true flight of 0.12 s or more",
	kinematics.NoteUnseenInFlight:     "the whole body was not seen in flight",
	kinematics.NoteNoScale:            "no scale: give the athlete's height or a known length",
	kinematics.NoteInDoubt:            doubtful,
	kinematics.NoteUnsurePoints:       "its points were not seen surely enough",
	kinematics.WhyKneeUnseen:          "one of the knees was not seen",
	kinematics.WhyLegAbsent:           "hip, knee or ankle of this leg is not in the track",
	kinematics.WhyContactUnseen:       "the foot's contact was not seen",
	kinematics.WhyLegUnseen:           "the leg was not seen from contact to still",
	kinematics.WhyLegUnseenLowest:     "the leg was not seen at the lowest point",
	kinematics.WhyNoHold:              "there was no hold",
	kinematics.WhyToeUnseen:           "the toe of this foot was not seen",
	kinematics.WhyFootUnseen:          "foot or contact was not seen",
	kinematics.WhyHeelToeUnseen:       "heel and toe of this foot were not both seen",
	kinematics.WhyKneesUnseenContact:  "both knees and ankles at contact were not seen",
	kinematics.WhyKneesUnseen:         "both knees and ankles were not seen",
	kinematics.WhyStanceUnseen:        "both ankles and shoulders at contact were not seen",
	kinematics.WhyContactsUnseen:      "both feet's contacts were not seen",
	kinematics.WhyOneFoot:             "a one-foot landing has none",
	kinematics.WhyTrunkUnseenContact:  "shoulders and hips at contact were not seen",
	kinematics.WhyTrunkUnseen:         "shoulders and hips were not seen",
	kinematics.WhyHipsUnseen:          "both hips were not seen",
	kinematics.WhyNearHipUnseen:       "shoulder, hip or knee of the near side was not seen",
	kinematics.WhyNearAnkleUnseen:     "knee, ankle, heel or toe of the near side was not seen",
	kinematics.WhyNearTrunkUnseen:     "shoulder or hip of the near side was not seen",
	kinematics.WhyNearKneeUnseen:      "hip, knee or ankle of the near leg was not seen",
	kinematics.WhyFootfallUnseen:      "toe and heel were not both seen to come down",
	kinematics.WhyFootSetUnseen:       "the foot was not seen in the 0.1 s before contact",
	kinematics.WhyFlightUnseen:        "take-off or landing of the jump was not seen",
	kinematics.WhyPullUnseen:          "hips between the tallest and the lowest instant were not seen",
	kinematics.WhyPushUnseen:          "the hips before take-off were not seen",
	kinematics.WhySquatNotHeld:        "the squat was not held before the push",
	kinematics.WhyFewJumps:            "under three jumps were seen",
	kinematics.WhyNeverStill:          "the athlete was never still for half a second after the landing",
	kinematics.WhyOtherFootDown:       "the other foot came down before the athlete was still",
	kinematics.WhyHipsUnseenBefore:    "the hips were not seen all the time before the athlete was still",
	kinematics.WhyStandingFootUnseen:  "a standing foot was not seen all through the hold",
	kinematics.WhyDepthUnseen:         "hips or contact were not seen",
	kinematics.WhyStandingDepthUnseen: "ankles or hips at the lowest point were not seen",
	FilmedAt:                          "filmed at %.0f a second, the phone says; it plays at %.0f",
	FrontCamera:                       "the file says that the front camera filmed it; the athlete's left leg is taken to be %s:",
	ShownMirrored:                     "the file says that its picture is shown as in a mirror; the athlete's left leg is taken to be %s:",
	OnlyByHand:                        "only the points placed by hand were followed; %s",
	LegsMixedUp:                       "left and right leg were mixed up and put right (pictures: %.0f)",
	PersonMeasured:                    "%.0f people are seen in the clip; person %.0f from the left, the one who lands, was measured",
	CutOff:                            "the file is cut off after %.2f s; what comes after that is lost",
	Damaged:                           "the file is damaged from %.2f s to %.2f s; nothing was measured there",
	Frozen:                            "the picture or a part of it is frozen from %.2f s to %.2f s (frames: %.0f), though the athlete moves on; nothing was measured there",
	ViewsDiffer:                       "the two views differ in %s: %.1f ± %.1f %s %s, %.1f ± %.1f %s %s",
	OtherFeet:                         "the landing was not on the feet that were asked for, so nothing of it is scored",
	FootUnseen:                        "one foot was not seen to land, so the landing is taken to be on two feet",
	OtherFootUnseen:                   "the other foot was not seen in the air, so the landing earns no step on one foot",
	OtherChecklist:                    "the checklist %s is for %s-foot landings, but this one was on %.0f",
}

// refusals are the same of codes that errors hold.
var refusals = map[kinematics.Code]string{
	kinematics.NoLandingLowestLost: noLanding + "the hips are lost right after contact; place them at the deepest point",
	kinematics.NoLandingClipEnds:   noLanding + "the clip ends before the athlete has landed; keep filming until after the hold",
	kinematics.NoLandingNoFoot:     noLanding + "no foot is in the track; place toe, heel and ankle on at least one frame",
	kinematics.NoLandingSlowMotion: noLanding + "bodies fall as in %.0f× slow motion",
	kinematics.NoLandingRunsOn:     noLanding + "the athlete runs on, and a running step is not held; film from the step-off until after the hold",
	kinematics.NoLandingStartsLate: noLanding + "the clip starts when the athlete is already landing; start filming before the step-off",
	kinematics.NoLandingEndsInAir:  noLanding + "the clip ends while the athlete is still in the air; keep filming until after the hold",
	kinematics.NoLandingNoFall:     noLanding + "the hips never fall faster than %.2f body heights a second, and a landing needs %.2f",
	kinematics.NoLandingNoRest:     noLanding + "no foot comes down and stays down; are toe and heel placed on frames before and after contact?",
	kinematics.TrackTooShort:       "the track is too short: a landing needs at least half a second of points",
	kinematics.TrackTimesWrong:     "the track's times cannot be right (%.0f frames a second, with up to %.3g s between two); check the times, and cut the clip to the landing",
	kinematics.TrackTooFewFrames:   "the track has %.0f frames a second, too few to see a landing; film at 60 or more",
	kinematics.TrackHipsBrief:      "the hips are seen for less than 0.3 s; place them on more frames",
	kinematics.TrackHipsAbsent:     "the hips and ankles are not in the track; place them on at least one frame",
	kinematics.TrackHipsApart:      "hips and ankles are never seen on the same frame; place them again",
	kinematics.TrackUpsideDown:     "the ankles are placed above the hips; is the clip upside down, or were the points swapped?",
	kinematics.TrackPointsJump:     "the points of the %s jump about the picture; place them again",
	kinematics.TrackNoPerson:       "the points are not those of a person who stands; check who is measured, and the points",
	kinematics.TrackSeenFromSide:   "the athlete lands seen from the side; give it as the side view",
	kinematics.TrackSeenFromFront:  "the athlete lands seen from the front; give it as the front view",
	kinematics.TrackSidesSwapped:   "left and right are changed over, as in a mirror image or from behind",
	LegsOutside:                    "the athlete's legs are not seen: they are outside the picture or hidden" + stepBack,
	FeetOutside:                    "the feet are outside the picture" + stepBack,
	NotThatMany:                    "%.0f people are seen in %q; there is no person %.0f",
	SeenFromSide:                   "%q is taken as filmed from the front, but the athlete is seen from the side",
	SeenFromFront:                  "%q is taken as filmed from the side, but the athlete is seen from the front",
	SeenFromBehind:                 "the athlete in %q is seen from behind, where left and right change over",
	SeveralPeople:                  "%.0f people are seen in %q",
	SeveralLand:                    "%.0f of the %.0f people in %q land",
	NoSuchLanding:                  "%q holds %s; there is no landing %.0f in it",
	LandingsDiffer:                 "%q holds %s, but %q holds %s",
	NoPoints:                       "no points are given for %q",
	PlacedElsewhere:                "the placements %q are for the view %s; give them with the clip of that view",
}

// hint is what to do, on a command line and at the desk; empty where it is nothing there.
type hint struct{ commandLine, desk string }

// everywhere is a hint that names neither flags nor fields.
func everywhere(words string) hint { return hint{words, words} }

// hints are what to do about remarks, and some refusals.
var hints = map[kinematics.Hint]hint{
	kinematics.HintCheckPoints:  everywhere("check the points on the pictures"),
	kinematics.HintCheckSwapped: everywhere("they were put back, check them on the pictures"),
	kinematics.HintCheckPoint:   everywhere("check it on the pictures"),
	kinematics.HintCheckJump:    everywhere("check the scale and the frames of take-off and landing"),
	kinematics.HintGivePlumb: {
		"if the phone was tilted, give an upright line of the picture with --front-plumb, such as a door frame, and score again",
		"if the phone was tilted, hold it upright next time",
	},
	kinematics.HintFilmFurther:  everywhere("heights and depths in cm hold less well: film from further away, and let them step down rather than out"),
	kinematics.HintCentre:       everywhere("put them in the middle"),
	kinematics.HintLongerFall:   everywhere("was it stepped down from, or is the clip in slow motion?"),
	kinematics.HintShorterFall:  everywhere("is the box lower, or did a foot stay on it?"),
	kinematics.HintCheckScales:  everywhere("check both, the known length was used"),
	kinematics.HintFilmStanding: everywhere("film from before the step-off"),
	kinematics.HintCheckTimeBase: {
		"if it is slow motion give --capture-fps, and check the height or length that was given",
		"if it is slow motion say at how many frames a second it was filmed, and check the height that was given",
	},
	kinematics.HintGiveRate: {
		"if it was filmed so, score it again with --capture-fps %.0f",
		"if it was filmed so, give it again and say that it was filmed at %.0f frames a second",
	},
	kinematics.HintGiveLength: everywhere("give their height or a known length"),
	SayMirrored: {
		"if the picture you see is a mirror image, add --mirrored",
		"if the picture you see is a mirror image, give it again and say so",
	},
	LookAtPoints:   everywhere("check the points"),
	SameLanding:    everywhere("are both clips of the same landing, with the same height or length given?"),
	SayWhichLanded: {"if it was meant so, say with --limb which landed", "if it was meant so, give it again as a landing on that leg"},
	SayWhichFoot:   {"if it was on one, say which with --limb", "if it was on one, give it again as a landing on that leg"},
}

// refusalHints are what to do about refusals alone.
var refusalHints = map[kinematics.Hint]hint{
	kinematics.HintRightClip: {
		"is this the right clip and task, and if it is slow motion, was --capture-fps given?",
		"is this the right clip and task, and if it is slow motion, was it said at how many frames a second it was filmed?",
	},
	kinematics.HintMirrored: {
		"give --mirrored if the clip is one, else film from the front or check the points",
		"say that the clip is a mirror image if it is one, else film from the front or check the points",
	},
	GiveAsSide:  {"give it with --side, or add --as-given if it is from the front all the same", ""},
	GiveAsFront: {"give it with --front, or add --as-given if it is from the side all the same", ""},
	FilmFront:   {"film from the front, or add --as-given if they do face the camera", "film from the front"},
	SayPerson:   {"say which one to measure with --person, counted from the left", "say which one to measure below: person, counted from the left"},
	SayPersonOf: {"say which one to measure with --person %s, counted from the left", "say which one to measure below: person %s, counted from the left"},
	CutAlike:    {"cut the clips to the same landings, or score the views one by one with --landing", "cut the clips to the same landings"},
	NamePoints:  {"name a placements file or a track, or choose a placer other than %s", "place some"},
}
