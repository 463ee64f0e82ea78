package intake

import (
	"testing"

	"steadfall/kinematics"
)

// Whatever a pattern and a file name hold, the name fits and says a trial that can be, or
// it does not fit.
func FuzzFileNames(f *testing.F) {
	f.Add(Patterns[0], "Ash_drop-landing_left_1_front")
	f.Add("{athlete}({view}){any}", "Birch(side)+*")
	f.Add("{view}{athlete}{trial}", "FRONTcedar99999999999999999999")
	f.Add("{any}{athlete}{view}", "\xff\x00front")
	f.Fuzz(func(t *testing.T, pattern, name string) {
		p, err := ParsePattern(pattern)
		if err != nil {
			return
		}
		k, _, ok := p.match(name, key{task: kinematics.DropLanding, limb: kinematics.Both, number: 1})
		if !ok {
			return
		}
		if _, err := kinematics.ParseTask(string(k.task)); err != nil || k.athlete == "" || k.number < 1 {
			t.Errorf("%q by %q is %+v", name, pattern, k)
		}
	})
}
