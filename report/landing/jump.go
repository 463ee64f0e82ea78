package landing

import (
	"steadfall/report/locale"
	"steadfall/scoring"
)

// validity says whether a squat jump was one.
var validity = map[scoring.Verdict]string{
	scoring.Clear: locale.Message("A valid squat jump"), scoring.Error: locale.Message("Not a valid squat jump"),
	scoring.TooClose: locale.Message("Too close to call whether this is a valid squat jump"), scoring.NotSeen: locale.Message("Whether this is a valid squat jump was not seen"),
}

// jumpSentences are what is said of a jump's measures, in their order.
var jumpSentences = []struct{ measure, words string }{
	{"jump_height", locale.Message("%s high, from the time in the air.")},
	{"posture_bias", locale.Message("Of that, %s comes from landing lower than the take-off was.")},
	{"hip_rise", locale.Message("By the hips alone: %s.")},
	{"contact_time", locale.Message("On the ground for %s.")},
	{"reactive_strength", locale.Message("Reactive strength %s.")},
	{"countermovement_depth", locale.Message("Sank %s before the push.")},
	{"height_fade", locale.Message("From the first third of the jumps to the last, %s of the height was lost.")},
}

// jumpLines say how high the jump was, how that is known, and whether it counts.
func jumpLines(loc locale.Locale, r scoring.Result) []string {
	if !r.Task.Jumps() {
		return nil
	}
	var out []string
	for _, of := range jumpSentences {
		if m, ok := r.Surest(of.measure); ok {
			out = append(out, loc.Say(of.words, loc.PlusMinus(m.Value, m.SD)+locale.Unit(m.Unit)))
		}
	}
	if j := r.Jump; j != nil {
		out = append([]string{loc.Say(validity[j.Finding]) + ": " + loc.Say(j.Why) + "."}, out...)
	}
	return out
}
