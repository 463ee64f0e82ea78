package kinematics

// The notes with numbers in them, as fmt has them.
const (
	noteFeetCross  = "the feet cross in the picture at %.2f s, where left and right are easily mixed up; check the points on the pictures"
	noteSwapped    = "left and right leg change places in the points at %.2f s; they were put back, check them on the pictures"
	noteWild       = "the point of the %s lies where it cannot be at %.2f s and is left out (such points: %d); check it on the pictures"
	noteRise       = "the jump is %.1f ± %.1f cm high by its time in the air and %.1f ± %.1f cm by the hips; check the scale and the frames of take-off and landing"
	noteLeans      = "the athlete leans by %.0f° in the picture while standing; if the phone was tilted, give an upright line of the picture with --front-plumb, such as a door frame, and score again"
	noteNearer     = "the athlete came nearer to the camera and looks %.0f ± %.0f %% larger at landing; heights and depths in cm hold less well: film from further away, and let them step down rather than out"
	noteOffAxis    = "the athlete lands %.0f° beside the middle of the picture, where a bent knee, which is nearer to the camera than the ankle, looks moved outwards; put them in the middle"
	noteBox        = "the feet were in the air for %.2f ± %.2f s, but a fall from a box of %.0f cm takes %.2f s; %s"
	noteScales     = "the known length and the athlete's height disagree: %.3f ± %.3f and %.3f ± %.3f cm per pixel; check both, the known length was used"
	noteSlowMotion = "bodies fall as in %.0f× slow motion; if it was filmed so, score it again with --capture-fps %.0f"
	noteDoubt      = "the clip's times or the lengths given cannot be trusted, so nothing that rests on them is told: "
	noteFall       = "bodies fall at %.1f ± %.1f m/s² in it, not at 9.81; if it is slow motion give --capture-fps, and check the height or length that was given"
	noteGiant      = "the fall would make the athlete %.0f cm tall; give their height or a known length"
)

// Notes are the forms, as fmt has them, of the notes and warnings that have numbers in them,
// for whoever says them in another language.
func Notes() []string {
	return []string{
		noteFeetCross, noteSwapped, noteWild, noteRise, noteLeans, noteNearer, noteOffAxis, noteBox, noteScales, noteSlowMotion,
		noteDoubt + noteFall, noteDoubt + noteGiant, noteDoubt + noteSlowMotion,
	}
}
