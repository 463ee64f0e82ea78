package track

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"steadfall/internal/bounded"
	"steadfall/kinematics"
)

// PlacedSDPx is the standard deviation, in pixels, of a point a person placed
// without saying how sure they are. Clicks on a landmark repeat within 1–3 px
// (common practice, no source).
const PlacedSDPx = 2.0

// mostPlacedSD is more than anybody who saw a landmark doubts its position by, px.
const mostPlacedSD = 1000

// Placements are points put on some frames of a clip by a person or a model.
type Placements struct {
	View   kinematics.View
	Frames []PlacedFrame // in order of Frame, no frame twice
}

// PlacedFrame is the points placed on one frame.
type PlacedFrame struct {
	Frame  int
	Points map[kinematics.Landmark]kinematics.Point
}

type placementsJSON struct {
	View       string `json:"view"`
	Placements []struct {
		Frame  *int                 `json:"frame"`
		Points map[string][]float64 `json:"points"`
	} `json:"placements"`
}

// ReadPlacements reads placements as JSON. Errors say in plain words which
// frame and point is wrong.
func ReadPlacements(r io.Reader) (Placements, error) {
	data, err := bounded.Read(r, bounded.MostJSON)
	if err == nil {
		err = bounded.JSON(data)
	}
	if err != nil {
		return Placements{}, fmt.Errorf("the file %w", err)
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	var in placementsJSON
	if err := dec.Decode(&in); err != nil {
		return Placements{}, fmt.Errorf("not a placements file: %s", jsonWords(err))
	}
	var out Placements
	if out.View, err = kinematics.ParseView(in.View); err != nil {
		return Placements{}, err
	}
	if len(in.Placements) == 0 {
		return Placements{}, errors.New("the placements hold no frame; place the points on at least one frame")
	}
	for i, f := range in.Placements {
		if f.Frame == nil || *f.Frame < 0 {
			return Placements{}, fmt.Errorf("placement %d has no frame number from 0 up", i+1)
		}
		pf := PlacedFrame{Frame: *f.Frame, Points: map[kinematics.Landmark]kinematics.Point{}}
		for name, v := range f.Points {
			l, err := kinematics.ParseLandmark(name)
			if err != nil {
				return Placements{}, fmt.Errorf("frame %d: %w", pf.Frame, err)
			}
			if pf.Points[l], err = placedPoint(v); err != nil {
				return Placements{}, fmt.Errorf("frame %d, %s: %w", pf.Frame, name, err)
			}
		}
		if len(pf.Points) == 0 {
			return Placements{}, fmt.Errorf("frame %d has no points", pf.Frame)
		}
		out.Frames = append(out.Frames, pf)
	}
	slices.SortFunc(out.Frames, func(a, b PlacedFrame) int { return a.Frame - b.Frame })
	for i := 1; i < len(out.Frames); i++ {
		if out.Frames[i].Frame == out.Frames[i-1].Frame {
			return Placements{}, fmt.Errorf("frame %d stands twice in the placements; join its points into one", out.Frames[i].Frame)
		}
	}
	return out, nil
}

// jsonWords are what is wrong with a file, without the names of this program's types.
func jsonWords(err error) string {
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		return fmt.Sprintf("a %s stands where something else belongs, up to byte %d", kind.Value, kind.Offset)
	}
	return strings.TrimPrefix(err.Error(), "json: ")
}

// Put places a point, instead of one that is there.
func (p *Placements) Put(frame int, l kinematics.Landmark, q kinematics.Point) {
	i, there := slices.BinarySearchFunc(p.Frames, frame, func(f PlacedFrame, n int) int { return f.Frame - n })
	if !there {
		p.Frames = slices.Insert(p.Frames, i, PlacedFrame{Frame: frame, Points: map[kinematics.Landmark]kinematics.Point{}})
	}
	p.Frames[i].Points[l] = q
}

// JSON is the placements in the form that ReadPlacements reads.
func (p Placements) JSON() ([]byte, error) {
	type frame struct {
		Frame  int                                `json:"frame"`
		Points map[kinematics.Landmark][3]float64 `json:"points"`
	}
	out := struct {
		View       kinematics.View `json:"view"`
		Placements []frame         `json:"placements"`
	}{View: p.View}
	for _, f := range p.Frames {
		g := frame{f.Frame, map[kinematics.Landmark][3]float64{}}
		for l, q := range f.Points {
			g.Points[l] = [3]float64{q.X, q.Y, q.SD}
		}
		out.Placements = append(out.Placements, g)
	}
	return json.Marshal(out)
}

func placedPoint(v []float64) (kinematics.Point, error) {
	if len(v) != 2 && len(v) != 3 {
		return kinematics.Point{}, errors.New("a point is [x, y] or [x, y, sd]")
	}
	p := kinematics.Point{X: v[0], Y: v[1], SD: PlacedSDPx, Source: kinematics.Placed}
	if len(v) == 3 {
		p.SD = v[2]
	}
	if !(p.SD > 0 && p.SD <= mostPlacedSD) {
		return p, fmt.Errorf("the sd must be more than 0 px and %d at most", mostPlacedSD)
	}
	return p, nil
}

// Check returns an error when a point lies outside the frame or a frame lies
// outside the clip.
func (p Placements) Check(width, height, frames int) error {
	for _, f := range p.Frames {
		if frames > 0 && f.Frame >= frames {
			return fmt.Errorf("the placements name frame %d, but the clip has frames 0 to %d; were they made for another clip?", f.Frame, frames-1)
		}
		for l, q := range f.Points {
			if q.X < -0.5 || q.Y < -0.5 || q.X > float64(width)-0.5 || q.Y > float64(height)-0.5 {
				return fmt.Errorf("%s on frame %d is at (%.1f, %.1f), outside the %d × %d picture; were the points made for another clip?", l, f.Frame, q.X, q.Y, width, height)
			}
		}
	}
	return nil
}
