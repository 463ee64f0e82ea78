package pipeline_test

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"steadfall/internal/pipeline"
	"steadfall/kinematics"
)

// A kept track goes to another process and comes back whole, with points that were not seen.
func TestRequestsComeThroughJSON(t *testing.T) {
	track := kinematics.NewTrack(kinematics.SideLeft, 1080, 1920, []int{3, 4}, []float64{0.1, 0.15})
	track.Points["left_knee"][0] = kinematics.Point{X: 1.0 / 3, Y: 2, SD: 0.7, Source: kinematics.Placed}
	r := pipeline.Request{Front: pipeline.Source{Clip: "c.mp4", Track: &pipeline.Track{File: "t.csv"}, Placements: &pipeline.Placements{File: "p.json"}}, Side: pipeline.Source{Track: &pipeline.Track{View: pipeline.View{
		Track: track, Points: "by hand", Options: kinematics.Options{StatureCM: 172, Plumb: &kinematics.Plumb{X2: 5, Y2: 500}},
	}}}}
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var got pipeline.Request
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if f := got.Front; f.Clip != "c.mp4" || f.Track.File != "t.csv" || f.Placements.File != "p.json" || got.Side.Track.File != "" {
		t.Errorf("the front came back as %+v", f)
	}
	v := got.Side.Track.View
	for l, ps := range track.Points {
		for i, want := range ps {
			if q := v.Track.Points[l][i]; q.Seen() != want.Seen() || q.Source != want.Source || want.Seen() && q != want {
				t.Errorf("%s on frame %d is %+v, want %+v", l, i, q, want)
			}
		}
	}
	v.Track.Points, track.Points = nil, nil
	if !reflect.DeepEqual(v, pipeline.View{Track: track, Points: "by hand", Options: r.Side.Track.View.Options}) {
		t.Errorf("came back as %+v", v)
	}
	// One whose times run backward comes from a reader that a clip broke.
	if json.Unmarshal([]byte(strings.Replace(string(text), "[0.1,0.15]", "[0.1,0.05]", 1)), &got) == nil {
		t.Error("a track that does not hold together was taken")
	}
}
