// Package trial runs one trial from clips to a report: the stages of the other
// packages in their order, with no measuring of its own. The command line uses it
// and the desk will.
package trial

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/scoring"
	"steadfall/video"
)

// Source is what one view is measured from: a clip with placements, or a track,
// with the clip for pictures where it is at hand.
type Source struct {
	Clip       string
	Placements string // file
	Track      string // file
	Length     *kinematics.KnownLength
}

// Given reports whether the source names anything.
func (s Source) Given() bool { return s.Clip != "" || s.Track != "" }

// Request is one trial to be scored.
type Request struct {
	Front, Side Source
	Task        kinematics.Task
	Limb        kinematics.Side
	Checklist   string // bundled name or file; "" picks by the feet that landed
	StatureCM   float64
	MassKG      float64
	CaptureFPS  float64
	Tool        string // name and version, for the result
	Tell        func(stage string, done, total int)
}

// Outcome is a scored trial.
type Outcome struct {
	Result   scoring.Result
	Pictures []report.Picture
}

// seen is one view after tracking and measuring.
type seen struct {
	source  Source
	track   kinematics.Track
	landing kinematics.Landing
}

// Score tracks, measures and scores the trial.
func Score(ctx context.Context, r Request) (Outcome, error) {
	var views []seen
	for _, s := range []struct {
		source Source
		front  bool
	}{{r.Front, true}, {r.Side, false}} {
		if !s.source.Given() {
			continue
		}
		t, err := r.track(ctx, s.source, s.front)
		if err != nil {
			return Outcome{}, err
		}
		l, err := kinematics.Derive(t, kinematics.Options{
			Task: r.Task, Limb: r.Limb, StatureCM: r.StatureCM, Length: s.source.Length, CaptureFPS: r.CaptureFPS, Seed: 1,
		})
		if err != nil {
			return Outcome{}, fmt.Errorf("%q: %w", s.source.name(), err)
		}
		views = append(views, seen{s.source, t, l})
	}
	var landings []kinematics.Landing
	for _, v := range views {
		landings = append(landings, v.landing)
	}
	list, err := r.checklist(feet(landings))
	if err != nil {
		return Outcome{}, err
	}
	out := Outcome{Result: scoring.NewResult(r.Task, r.Limb, landings, scoring.Apply(list, landings))}
	out.Result.Tool, out.Result.HeightCM, out.Result.MassKG = r.Tool, r.StatureCM, r.MassKG
	if n := feet(landings); (list.Feet == scoring.OneFoot && n == 2) || (list.Feet == scoring.TwoFeet && n == 1) {
		out.Result.Warnings = append(out.Result.Warnings, fmt.Sprintf("the checklist %s is for %s-foot landings, but this one was on %d", list.Name, list.Feet, n))
	}
	for i, v := range views {
		w := &out.Result.Views[i]
		w.Clip, w.Width, w.Height = filepath.Base(v.source.name()), v.track.Width, v.track.Height
		for _, c := range video.Capture(v.track, r.Task) {
			w.Capture = append(w.Capture, scoring.CaptureCheck{Check: c.Name, Value: c.Value, Unit: c.Unit, Verdict: c.Verdict, Why: c.Why})
		}
		pics, err := r.pictures(ctx, v)
		if err != nil {
			return Outcome{}, err
		}
		out.Pictures = append(out.Pictures, pics...)
	}
	return out, nil
}

func (s Source) name() string {
	if s.Clip != "" {
		return s.Clip
	}
	return s.Track
}

func feet(ls []kinematics.Landing) int {
	n := 0
	for _, l := range ls {
		n = max(n, len(l.Feet))
	}
	return n
}

// checklist is the one asked for, or the one for that many feet.
func (r Request) checklist(feet int) (scoring.Checklist, error) {
	if r.Checklist == "" {
		return scoring.Load(scoring.Default(feet))
	}
	return LoadChecklist(r.Checklist)
}

// LoadChecklist reads a bundled checklist by name, or a file when the name ends in
// .yaml or .yml.
func LoadChecklist(name string) (scoring.Checklist, error) {
	if ext := filepath.Ext(name); ext != ".yaml" && ext != ".yml" {
		return scoring.Load(name)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return scoring.Checklist{}, fmt.Errorf("the checklist %q cannot be read; check the name and the folder", name)
	}
	c, err := scoring.Parse(data)
	if err != nil {
		return c, fmt.Errorf("%s: %w", name, err)
	}
	return c, nil
}

// track reads the track of a source, or makes it from placements.
func (r Request) track(ctx context.Context, s Source, front bool) (kinematics.Track, error) {
	if s.Track != "" {
		return ReadTrack(s.Track, front)
	}
	if s.Placements == "" {
		return kinematics.Track{}, fmt.Errorf("no points are given for %q; name a placements file or a track (this version does not place points by itself)", s.Clip)
	}
	pl, err := ReadPlacements(s.Placements)
	if err != nil {
		return kinematics.Track{}, err
	}
	if front == pl.View.IsSide() {
		return kinematics.Track{}, fmt.Errorf("the placements %q are for the view %s; give them with the clip of that view", s.Placements, pl.View)
	}
	return video.Track(ctx, s.Clip, pl, r.progress("following the points in "+filepath.Base(s.Clip)))
}

func (r Request) progress(stage string) video.Progress {
	if r.Tell == nil {
		return nil
	}
	return func(done, total int) { r.Tell(stage, done, total) }
}

// ReadPlacements reads a placements file.
func ReadPlacements(name string) (video.Placements, error) {
	f, err := os.Open(name)
	if err != nil {
		return video.Placements{}, fmt.Errorf("the placements %q cannot be read; check the name and the folder", name)
	}
	defer f.Close()
	pl, err := video.ReadPlacements(f)
	if err != nil {
		return pl, fmt.Errorf("placements %q: %w", name, err)
	}
	return pl, nil
}

// ReadTrack reads a track file. A side view's near side is told by where the toes
// point: an athlete who looks to the right of the picture shows the right side.
func ReadTrack(name string, front bool) (kinematics.Track, error) {
	f, err := os.Open(name)
	if err != nil {
		return kinematics.Track{}, fmt.Errorf("the track %q cannot be read; check the name and the folder", name)
	}
	defer f.Close()
	t, err := kinematics.ReadTrack(f, kinematics.Front)
	if err != nil {
		return t, fmt.Errorf("track %q: %w", name, err)
	}
	if !front {
		if t.View, err = kinematics.FacingView(t); err != nil {
			return t, fmt.Errorf("track %q: %w", name, err)
		}
	}
	return t, nil
}

// moments are the three pictures of a report.
var moments = []struct {
	word  string
	event kinematics.EventName
}{
	{"contact", kinematics.InitialContact},
	{"deepest", kinematics.Lowest},
	{"hold", kinematics.StillFrom},
}

func (r Request) pictures(ctx context.Context, v seen) ([]report.Picture, error) {
	if v.source.Clip == "" {
		return nil, nil
	}
	var marks []video.Mark
	var pics []report.Picture
	for _, m := range moments {
		e, ok := v.landing.Event(m.event)
		if !ok {
			continue
		}
		frame := e.Frame
		if m.word == "hold" { // some way into the hold
			if end, ok := v.landing.Event(kinematics.HoldEnd); ok {
				frame = (e.Frame + end.Frame) / 2
			}
		}
		text, caption := labels(v.landing, m.word)
		marks = append(marks, video.Mark{Frame: frame, Text: text})
		pics = append(pics, report.Picture{View: v.track.View, Moment: m.word, Frame: frame, TimeS: timeOf(v.track, frame), Caption: caption})
	}
	if r.Tell != nil {
		r.Tell("drawing pictures of "+filepath.Base(v.source.Clip), 0, 0)
	}
	jpegs, err := video.Stills(ctx, v.source.Clip, v.track, marks)
	if err != nil {
		return nil, err
	}
	out := pics[:0]
	for _, p := range pics {
		if p.JPEG = jpegs[p.Frame]; p.JPEG != nil {
			out = append(out, p)
		}
	}
	return out, nil
}

func timeOf(t kinematics.Track, frame int) float64 {
	for i, n := range t.Frame {
		if n == frame {
			return t.TimeS[i]
		}
	}
	return 0
}

// labels are the angles written beside the joints on one picture, and the same in
// words for its caption.
func labels(l kinematics.Landing, moment string) (map[kinematics.Landmark]string, string) {
	name := map[string]string{"contact": "fppa_contact", "deepest": "fppa_lowest", "hold": "fppa_hold"}[moment]
	words := "Knee in (+) or out (−)"
	if l.View.IsSide() {
		words = "Knee bend"
		name = map[string]string{"contact": "knee_flexion_contact", "deepest": "knee_flexion_peak"}[moment]
	}
	text := map[kinematics.Landmark]string{}
	caption := ""
	for _, s := range []kinematics.Side{kinematics.Right, kinematics.Left} {
		m, ok := l.Measure(name, s)
		if !ok {
			continue
		}
		letter := "L"
		if s == kinematics.Right {
			letter = "R"
		}
		text[kinematics.On(s, kinematics.Knee)] = fmt.Sprintf("%s %+.0f deg", letter, m.Value)
		if l.View.IsSide() {
			text[kinematics.On(s, kinematics.Knee)] = fmt.Sprintf("%s %.0f deg", letter, m.Value)
		}
		caption += fmt.Sprintf(" %s %.0f ± %.0f°.", s, m.Value, m.SD)
	}
	if caption != "" {
		caption = words + ":" + caption
	}
	return text, caption
}

// JSON is the result as indented JSON.
func JSON(r scoring.Result) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	if err := e.Encode(r); err != nil {
		return nil, fmt.Errorf("the result could not be written as JSON: %w", err)
	}
	return b.Bytes(), nil
}
