package pipeline

import (
	"encoding/json"

	"steadfall/kinematics"
)

// View is one view of a landing as it was tracked, with what is known of it.
type View struct {
	Track   kinematics.Track
	Points  string             // how they were placed
	Options kinematics.Options // it is measured under
}

// viewJSON is a view in a form that JSON keeps whole: a point that was not seen is null.
type viewJSON struct {
	View          kinematics.View
	Width, Height int
	Frame         []int
	TimeS         []float64
	At            map[kinematics.Landmark][]*[3]float64 // x, y and sd of each frame
	Source        map[kinematics.Landmark][]kinematics.Source
	Points        string
	Options       kinematics.Options
}

// MarshalJSON is for the messages between a worker and its parent.
func (v View) MarshalJSON() ([]byte, error) {
	t := v.Track
	out := viewJSON{
		t.View, t.Width, t.Height, t.Frame, t.TimeS,
		map[kinematics.Landmark][]*[3]float64{},
		map[kinematics.Landmark][]kinematics.Source{},
		v.Points, v.Options,
	}
	for l, ps := range t.Points {
		at, from := make([]*[3]float64, len(ps)), make([]kinematics.Source, len(ps))
		for i, p := range ps {
			if p.Seen() {
				at[i] = &[3]float64{p.X, p.Y, p.SD}
			}
			from[i] = p.Source
		}
		out.At[l], out.Source[l] = at, from
	}
	return json.Marshal(out)
}

// UnmarshalJSON refuses a track that does not hold together: a clip may have broken its reader.
func (v *View) UnmarshalJSON(text []byte) error {
	var in viewJSON
	if err := json.Unmarshal(text, &in); err != nil {
		return err
	}
	t := kinematics.NewTrack(in.View, in.Width, in.Height, in.Frame, in.TimeS)
	for l, at := range in.At {
		ps := make([]kinematics.Point, len(at))
		for i, q := range at {
			ps[i] = kinematics.Unseen()
			if q != nil {
				ps[i].X, ps[i].Y, ps[i].SD = q[0], q[1], q[2]
			}
			if i < len(in.Source[l]) {
				ps[i].Source = in.Source[l][i]
			}
		}
		t.Points[l] = ps
	}
	*v = View{t, in.Points, in.Options}
	return t.Check()
}

// leftLeg says which leg is taken for the athlete's left.
func leftLeg(v kinematics.View, mirrored bool) string {
	switch {
	case v == kinematics.SideLeft:
		return "the near one"
	case v == kinematics.SideRight:
		return "the far one"
	case mirrored:
		return "the one on the left of the picture, which is a mirror image"
	}
	return "the one on the right of the picture"
}
