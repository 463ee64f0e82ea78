package ratings_test

import (
	"bytes"
	"strings"
	"testing"

	"steadfall/internal/archive"
	"steadfall/internal/ratings"
	"steadfall/kinematics"
	"steadfall/scoring"
)

// A sheet asks of each leg that landed, says nothing of whose trial it is, and gives back what
// was answered and what was left open.
func TestSheet(t *testing.T) {
	list := scoring.Checklist{Name: "own", Items: []scoring.Item{
		{ID: "knee-in", Side: "each", Text: "the knee comes in"},
		{ID: "stiff", Side: "both", Text: "hardly bends"},
	}}
	two := archive.Blind{Trial: archive.Trial{Blind: "aaaa", Athlete: "Ash", Limb: kinematics.Both}}
	one := archive.Blind{Trial: archive.Trial{Blind: "bbbb", Athlete: "Ash", Limb: kinematics.Right}}
	var b bytes.Buffer
	if err := ratings.WriteSheet(&b, []archive.Blind{two, one}, list); err != nil {
		t.Fatal(err)
	}
	const want = `trial,checklist,item,side,the error,answer
aaaa,own,knee-in,left,the knee comes in,
aaaa,own,knee-in,right,the knee comes in,
aaaa,own,stiff,both,hardly bends,
bbbb,own,knee-in,right,the knee comes in,
bbbb,own,stiff,both,hardly bends,
`
	if b.String() != want {
		t.Errorf("the sheet is\n%s", b.String())
	}
	if _, open, err := ratings.ReadSheet(strings.NewReader(want), "R1"); err == nil || open != 5 {
		t.Errorf("of an empty sheet %d are open, and it is taken: %v", open, err)
	}
	filled := strings.Replace(strings.Replace(want, "left,the knee comes in,", "left,the knee comes in, Yes", 1), "both,hardly bends,", "both,hardly bends,unseen", 1)
	answers, open, err := ratings.ReadSheet(strings.NewReader(filled), "R1")
	if err != nil || open != 3 || len(answers) != 2 {
		t.Fatalf("%d answers, %d open, %v", len(answers), open, err)
	}
	if a := answers[0]; a.Blind != "aaaa" || a.Rater != "R1" || a.Side != kinematics.Left || a.Error == nil || !*a.Error {
		t.Errorf("yes of the left knee is read as %+v", a)
	}
	if a := answers[1]; a.Item != "stiff" || a.Error != nil {
		t.Errorf("unseen is read as %+v", a)
	}
	if _, _, err := ratings.ReadSheet(strings.NewReader(strings.Replace(want, "right,the knee comes in,", "right,the knee comes in,perhaps", 1)), "R1"); err == nil || !strings.Contains(err.Error(), "line 3") {
		t.Errorf("an answer that is none: %v", err)
	}
}
