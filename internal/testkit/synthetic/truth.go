// Package synthetic makes inputs whose exact truth is known: the rendered clips
// of testdata with their truth files, seeded placements on them, and degraded copies of
// clips. Tests and benches use it; the product does not. Tracks from formulas are those of
// package simulated.
package synthetic

import (
	"encoding/json"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"

	"steadfall/kinematics"
	"steadfall/video"
)

// Truth is what a clip's truth file says.
type Truth struct {
	Name        string          `json:"-"` // the clip's name without its ending
	View        kinematics.View `json:"view"`
	StatureCM   float64         `json:"stature_cm"`
	LandingFeet []string        `json:"landing_feet"`
	FPS         float64         `json:"fps"`
	Width       int             `json:"width"`
	Height      int             `json:"height"`
	Truth       struct {
		ContactS     map[string]*float64           `json:"contact_s"`
		LowestS      float64                       `json:"lowest_s"`
		HoldFromS    float64                       `json:"hold_from_s"`
		HoldToS      float64                       `json:"hold_to_s"`
		BalanceLostS *float64                      `json:"balance_lost_s"`
		DepthCM      float64                       `json:"landing_depth_cm"`
		KneeFlexion  map[string]float64            `json:"knee_flexion_peak_deg"`
		PxPerCM      map[string]float64            `json:"px_per_cm"`
		FPPA         map[string]map[string]float64 `json:"fppa_deg"`
		FlightS      *float64                      `json:"flight_time_s"`
		TakeOffS     *float64                      `json:"take_off"`
		JumpHeightCM *float64                      `json:"jump_height_cm_from_flight_time"`
		HipRiseCM    *float64                      `json:"true_hip_rise_cm_takeoff_to_apex"`
	} `json:"truth"`
	Frames []struct {
		TimeS  float64               `json:"time_s"`
		Points map[string][2]float64 `json:"points"`
		Hidden []string              `json:"hidden"`
	} `json:"frames"`
}

// Clips returns the truths of all clips in the folder, by name.
func Clips(dir string) ([]Truth, error) {
	files, err := filepath.Glob(filepath.Join(dir, "*.truth.json"))
	if err != nil {
		return nil, err
	}
	var out []Truth
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		t := Truth{Name: strings.TrimSuffix(filepath.Base(f), ".truth.json")}
		if err := json.Unmarshal(data, &t); err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}

// Contact returns the first contact of a landing foot, in seconds.
func (t Truth) Contact() float64 {
	first := math.Inf(1)
	for _, s := range t.LandingFeet {
		if c := t.Truth.ContactS[s]; c != nil {
			first = min(first, *c)
		}
	}
	return first
}

// Point returns the true place of a landmark on a frame, and whether the truth
// file has it.
func (t Truth) Point(frame int, l kinematics.Landmark) (x, y float64, ok bool) {
	p, ok := t.Frames[frame].Points[string(l)]
	return p[0], p[1], ok
}

// Track is the true points of the clip as a track whose points are stated to sd px,
// hidden ones among them.
func (t Truth) Track(sd float64) kinematics.Track {
	frames, times := make([]int, len(t.Frames)), make([]float64, len(t.Frames))
	for i, f := range t.Frames {
		frames[i], times[i] = i, f.TimeS
	}
	tr := kinematics.NewTrack(t.View, t.Width, t.Height, frames, times)
	for i := range t.Frames {
		for _, l := range kinematics.Landmarks() {
			if x, y, ok := t.Point(i, l); ok {
				tr.Points[l][i] = kinematics.Point{X: x, Y: y, SD: sd, Source: kinematics.Placed}
			}
		}
	}
	return tr
}

// CoachFrames are the four frames a coach would place points on, each off by up
// to one frame as eyes are: standing, about first contact, and two looks at the
// deepest point. From the front, where the knee falls furthest in later than
// that, one look is at the deepest point and two there, and none at standing.
func (t Truth) CoachFrames(rng *rand.Rand) []int {
	at := func(s float64) int { return int(math.Round(s*t.FPS)) - 1 + rng.IntN(3) }
	look := 0.08 // s between two looks at one posture
	standing, contact, deepest := at(0.2), at(t.Contact()), at(t.Truth.LowestS)
	if worst := float64(t.worstKnee()) / t.FPS; worst > t.Truth.LowestS+2*look {
		return []int{contact, deepest, at(worst), at(worst + look)}
	}
	return []int{standing, contact, deepest, at(t.Truth.LowestS + look)}
}

// worstKnee is the frame, from contact until still, on which a landing leg's
// knee is furthest in; -1 in a side view.
func (t Truth) worstKnee() int {
	if t.View != kinematics.Front {
		return -1
	}
	worst, frame := math.Inf(-1), -1
	for n := int(t.Contact() * t.FPS); n < int(t.Truth.HoldFromS*t.FPS); n++ {
		for _, s := range t.LandingFeet {
			hx, hy, _ := t.Point(n, kinematics.On(kinematics.Side(s), kinematics.Hip))
			kx, ky, _ := t.Point(n, kinematics.On(kinematics.Side(s), kinematics.Knee))
			ax, ay, _ := t.Point(n, kinematics.On(kinematics.Side(s), kinematics.Ankle))
			in := math.Atan2(kx-hx, ky-hy) - math.Atan2(ax-kx, ay-ky)
			if s == string(kinematics.Left) {
				in = -in
			}
			if in > worst {
				worst, frame = in, n
			}
		}
	}
	return frame
}

// Placements are the truth on the given frames plus seeded noise of sd pixels.
// A landmark that is hidden on a frame is not placed there.
func (t Truth) Placements(frames []int, sd float64, rng *rand.Rand) video.Placements {
	pl := video.Placements{View: t.View}
	for _, n := range frames {
		hidden := map[string]bool{}
		for _, h := range t.Frames[n].Hidden {
			hidden[h] = true
		}
		pf := video.PlacedFrame{Frame: n, Points: map[kinematics.Landmark]kinematics.Point{}}
		for _, l := range kinematics.Landmarks() {
			if x, y, ok := t.Point(n, l); ok && !hidden[string(l)] {
				pf.Points[l] = kinematics.Point{
					X: x + sd*rng.NormFloat64(), Y: y + sd*rng.NormFloat64(),
					SD: math.Max(sd, 0.1), Source: kinematics.Placed,
				}
			}
		}
		pl.Frames = append(pl.Frames, pf)
	}
	return pl
}

// Rand is the seeded source that tests and benches draw a clip's noise from;
// clips under one seed have noise of their own.
func (t Truth) Rand(seed uint64) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(t.Name))
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}

// Task is the task of the clip.
func (t Truth) Task() kinematics.Task {
	if t.Truth.FlightS != nil {
		return kinematics.CountermovementJump
	}
	return kinematics.DropLanding
}

// BodyPx is the height of the figure in pixels on the first frame, told from the
// shoulders and the lowest point: .818 of the stature (Drillis and Contini 1966).
func (t Truth) BodyPx() float64 {
	top, low := math.Inf(1), math.Inf(-1)
	for _, p := range t.Frames[0].Points {
		top, low = min(top, p[1]), max(low, p[1])
	}
	return (low - top) / 0.818
}
