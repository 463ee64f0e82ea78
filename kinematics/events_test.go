package kinematics

import "testing"

// A foot that pauses in the air a quarter of a second before both land is no contact, and
// does not part the two feet that land together; so it happened in a blurred clip.
func TestAPauseInTheAirPartsNoLanding(t *testing.T) {
	const body = 700.0
	air := footContact{side: Right, timeS: 1.038, floor: 1182}
	right := footContact{side: Right, timeS: 1.287, floor: 1339}
	left := footContact{side: Left, timeS: 1.290, floor: 1336}
	hop := footContact{side: Left, timeS: 2.0, floor: 1337}
	got := together([]footContact{air, right, left, hop}, body)
	if len(got) != 2 || len(got[0]) != 2 || got[0][0] != right || got[0][1] != left || len(got[1]) != 1 {
		t.Errorf("%+v", got)
	}
	free := footContact{side: Left, timeS: 1.30, floor: 1100} // the free leg of a one-foot landing
	if got := together([]footContact{right, free}, body); len(got) != 1 || len(got[0]) != 1 || got[0][0] != right {
		t.Errorf("%+v", got)
	}
}
