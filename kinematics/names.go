package kinematics

// About says what a measure is, for readers of reports and checklists.
type About struct {
	Name  string
	Unit  string
	Words string // plain words, without the unit
}

// measures lists every measure there is.
var measures = []About{
	{"fppa_contact", unitDeg, "knee in (+) or out (−) at contact, front view"},
	{"fppa_peak", unitDeg, "knee furthest in, contact to still, front view"},
	{"fppa_lowest", unitDeg, "knee in (+) or out (−) at the deepest point"},
	{"fppa_hold", unitDeg, "knee in (+) or out (−), mean over the hold"},
	{"knee_over_toe", unitCM, "knee inside the tip of the toe, furthest"},
	{"knee_over_midfoot", unitCM, "knee inside the middle of the foot at contact"},
	{"foot_turn", unitDeg, "foot turned out (+) or in (−)"},
	{"knee_separation_ratio_contact", unitPlain, "knees apart over ankles apart, at contact"},
	{"knee_separation_ratio_least", unitPlain, "knees apart over ankles apart, at its least"},
	{"stance_width_ratio", unitPlain, "ankles apart over shoulder width at contact"},
	{"contact_gap", unitMS, "left foot down after (+) the right"},
	{"trunk_lean", unitDeg, "trunk leaning to the athlete's right (+) at contact"},
	{"trunk_lean_peak", unitDeg, "trunk leaning to a side, most"},
	{"pelvis_tilt_peak", unitDeg, "hips tilted to a side, most"},
	{"knee_flexion_contact", unitDeg, "knee bend at contact"},
	{"knee_flexion_peak", unitDeg, "knee bend, most"},
	{"knee_flexion_excursion", unitDeg, "knee bend gained after contact"},
	{"hip_flexion_contact", unitDeg, "hip bend at contact"},
	{"hip_flexion_peak", unitDeg, "hip bend, most"},
	{"hip_flexion_excursion", unitDeg, "hip bend gained after contact"},
	{"ankle_dorsiflexion_contact", unitDeg, "ankle bend at contact (− is toes pointed)"},
	{"ankle_dorsiflexion_peak", unitDeg, "ankle bend, most"},
	{"ankle_dorsiflexion_excursion", unitDeg, "ankle bend gained after contact"},
	{"trunk_flexion_contact", unitDeg, "trunk forward of upright at contact"},
	{"trunk_flexion_peak", unitDeg, "trunk forward of upright, most"},
	{"trunk_flexion_excursion", unitDeg, "trunk forward gained after contact"},
	{"toe_first", unitPlain, "toe down before the heel (1 yes, 0 no)"},
	{"toe_lead", unitMS, "toe down before (+) the heel"},
	{"foot_set_shank", unitDeg, "ankle bend in the 0.1 s before contact"},
	{"foot_set_floor", unitDeg, "toes above (+) the heel in the 0.1 s before contact"},
	{"landing_depth", unitCM, "hips sink from contact to the deepest point"},
	{"landing_depth_share", unitPart, "the same, of standing hip height"},
	{"landing_depth_from_standing", unitCM, "hips sink from standing to the deepest point"},
	{"hold_time", unitS, "held still"},
	{"time_to_still", unitS, "from contact until still"},
	{"hold_path", unitCM, "way of the hips during the hold"},
	{"hold_ellipse", unitCM2, "95 % ellipse of the hips during the hold"},
	{"hold_drift", unitCM, "hips moved from start to end of the hold"},
	{"foot_shift", unitCM, "standing foot moved during the hold"},
	{"pull_down", unitG, "greatest downward acceleration of the hips"},
	{"pull_down_time", unitS, "from tallest to deepest"},
	{"flight_time", unitS, "in the air"},
	{"jump_height", unitCM, "jump height from the flight time"},
	{"hip_rise", unitCM, "hips rise from take-off to the top"},
	{"posture_bias", unitCM, "too much (+) in that height, for landing lower than take-off"},
	{"contact_time", unitS, "on the ground between landing and jump"},
	{"reactive_strength", unitRSI, "jump height over contact time"},
	{"flight_contact_ratio", unitPlain, "time in the air over time on the ground"},
	{"height_fade", unitPart, "height lost from the first third of the jumps to the last"},
	{"countermovement_depth", unitCM, "hips sink before the push"},
	{"squat_hold", unitS, "held at the bottom before the push"},
	{"squat_dip", unitCM, "hips sink from that hold before the push"},
}

// Describe returns what a measure is; ok is false for a name there is not.
func Describe(name string) (about About, ok bool) {
	for _, m := range measures {
		if m.Name == name {
			return m, true
		}
	}
	return About{}, false
}

// UnitOf returns the unit of a measure, or "" for a name there is not.
func UnitOf(name string) string {
	about, _ := Describe(name)
	return about.Unit
}
