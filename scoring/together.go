package scoring

import (
	"fmt"
	"slices"

	"steadfall/kinematics"
)

// OneKind checks that results may be joined: of as many trials as there are, on one leg, of one
// task or, where mixed is allowed, of jumps off the floor. names are what they are called. The
// error says in which they differ, or which two are the same trial.
func OneKind(results []Result, names []string, mixed bool) error {
	for i, r := range results {
		first := results[0]
		switch {
		case r.Task != first.Task && !(mixed && r.Task.Jumps() && first.Task.Jumps()):
			return fmt.Errorf("%q is a %s and %q a %s; give trials of one task", names[0], first.Task, names[i], r.Task)
		case r.Limb != first.Limb:
			return fmt.Errorf("%q is on %s and %q on %s; give trials on the same feet", names[0], feetSaid(first.Limb), names[i], feetSaid(r.Limb))
		}
		for j, earlier := range results[:i] {
			if sameTrial(earlier, r) {
				return fmt.Errorf("%q and %q are the same trial; give each trial once", names[j], names[i])
			}
		}
	}
	return nil
}

func feetSaid(limb kinematics.Side) string {
	if limb == kinematics.Both {
		return "both feet"
	}
	return "the " + string(limb) + " foot"
}

// sameTrial reports whether two results are of one trial: no two landings give every event to
// the microsecond.
func sameTrial(a, b Result) bool {
	return slices.EqualFunc(a.Views, b.Views, func(v, w ViewResult) bool {
		return v.View == w.View && len(v.Events) > 0 && slices.EqualFunc(v.Events, w.Events, func(e, f kinematics.Event) bool {
			return e.Name == f.Name && e.Side == f.Side && e.TimeS-f.TimeS < 1e-6 && f.TimeS-e.TimeS < 1e-6
		})
	})
}
