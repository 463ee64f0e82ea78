// Package trial runs one trial from clips to a report: the stages of the other
// packages in their order, with no measuring of its own. Every way in uses it:
// the command line, a folder's import and the desk's worker.
package trial

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"steadfall/internal/bounded"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/scoring"
	"steadfall/video"
	"steadfall/video/clip"
)

// Source is what one view is measured from: a clip, with placements or without, or a
// track, with the clip for pictures where it is at hand.
type Source struct {
	Clip       string
	Placements string // file
	Track      string // file
	Held       *Held  // a track at hand, instead of Track
	Length     *kinematics.KnownLength
	Plumb      *kinematics.Plumb // an upright line of its pictures
}

// Held is a track that is at hand, with what is known of it.
type Held struct {
	Track   kinematics.Track
	Points  string // how they were placed
	Options kinematics.Options
}

// Given reports whether the source names anything.
func (s Source) Given() bool { return s.Clip != "" || s.Track != "" || s.Held != nil }

// Request is one clip or pair of clips to be scored.
type Request struct {
	Front, Side Source
	Points      Points
	Landing     int // which landing of the clips, from 1; 0 for all
	Task        kinematics.Task
	Limb        kinematics.Side
	Checklist   string // bundled name or file; "" picks by the feet that landed
	StatureCM   float64
	MassKG      float64
	AgeYears    float64 // 0: not known
	BoxCM       float64 // height of the box; 0: not known
	CaptureFPS  float64
	Picture     [2]int                              // width and height of the pictures that track files were made from; 0: not known
	SquareDeg   float64                             // how squarely the front camera was set, one sd; 0: not known
	Tool        string                              // name and version, for the result
	Tell        func(stage string, done, total int) `json:"-"`
}

// Check finds what can be known to be wrong before any clip is read: a checklist or
// placements that are not good, a file that is not there or no clip, and a track that is not
// good where a clip would be read before it.
func (r Request) Check() error {
	if r.Checklist != "" {
		if _, err := LoadChecklist(r.Checklist); err != nil {
			return err
		}
	}
	clips := r.Front.Clip != "" || r.Side.Clip != ""
	for i, s := range []Source{r.Front, r.Side} {
		if s.Placements != "" {
			if _, err := ReadPlacements(s.Placements); err != nil {
				return err
			}
		}
		if s.Track != "" && clips {
			if _, err := ReadTrack(s.Track, i == 0); err != nil {
				return err
			}
		}
		if s.Clip != "" {
			if _, err := clip.Sniff(s.Clip); err != nil {
				return err
			}
		}
	}
	return nil
}

// Outcome is a scored landing.
type Outcome struct {
	Result    scoring.Result
	Checklist scoring.Checklist // that scored it
	Views     []Held            // what each view was measured from
	Pictures  []report.Picture
	Reels     []Reel // looping clips that are still to be made
}

// seen is one view after tracking, with each landing found in it.
type seen struct {
	source Source
	placed placed
	trials []kinematics.Trial
}

// Score tracks the clips and measures and scores each landing in them, in order.
func Score(ctx context.Context, r Request) ([]Outcome, error) {
	all, err := ScoreOnly(ctx, r)
	for i := range all {
		if err := all[i].Finish(); err != nil {
			return nil, err
		}
	}
	return all, err
}

// ScoreOnly is Score for a process that may not write files: the outcomes are still to be
// finished.
func ScoreOnly(ctx context.Context, r Request) ([]Outcome, error) {
	var views []seen
	for _, s := range []struct {
		source Source
		front  bool
	}{{r.Front, true}, {r.Side, false}} {
		if !s.source.Given() {
			continue
		}
		v, err := r.see(ctx, s.source, s.front)
		if err != nil {
			return nil, err
		}
		views = append(views, v)
	}
	which, of, err := r.chosen(views)
	if err != nil {
		return nil, err
	}
	var out []Outcome
	for _, n := range which {
		o, err := r.scoreOne(ctx, views, n)
		if err != nil {
			return nil, err
		}
		if of > 1 {
			o.Result.Landing = &scoring.WhichLanding{Number: n + 1, Of: of, ContactS: views[0].trials[n].ContactS}
		}
		out = append(out, o)
	}
	return out, nil
}

// see tracks one view and finds its landings. Where there is none, the whole track
// stands for one, so that measuring it says why.
func (r Request) see(ctx context.Context, s Source, front bool) (seen, error) {
	p, err := r.track(ctx, s, front)
	if err != nil {
		return seen{}, err
	}
	trials, err := kinematics.Trials(p.track, r.options(s, p))
	if err != nil {
		return seen{}, fmt.Errorf("%q: %w", s.name(), p.explain(err))
	}
	if len(trials) == 0 {
		trials = []kinematics.Trial{{Track: p.track}}
	}
	return seen{s, p, trials}, nil
}

// options are those of a view. What the user says of the rate wins over what the phone says.
func (r Request) options(s Source, p placed) kinematics.Options {
	if s.Held != nil {
		return s.Held.Options
	}
	rate := r.CaptureFPS
	if rate == 0 {
		rate = p.rate
	}
	return kinematics.Options{
		Task: r.Task, Limb: r.Limb, StatureCM: r.StatureCM, Length: s.Length, CaptureFPS: rate, Mirrored: r.Points.Mirrored,
		Plumb: s.Plumb, BoxCM: r.BoxCM, SquareDeg: r.SquareDeg, Seed: 1,
	}
}

// chosen is which landings are scored, counted from 0, and how many there are.
func (r Request) chosen(views []seen) (which []int, of int, err error) {
	of = len(views[0].trials)
	for _, v := range views {
		n := len(v.trials)
		if r.Landing > n {
			return nil, 0, fmt.Errorf("%q holds %s; there is no landing %d in it", v.source.name(), v.times(), r.Landing)
		}
		if r.Landing == 0 && n != of {
			return nil, 0, fmt.Errorf("%q holds %s, but %q holds %s; cut the clips to the same landings, or score the views one by one with --landing", views[0].source.name(), views[0].times(), v.source.name(), v.times())
		}
	}
	if r.Landing > 0 {
		return []int{r.Landing - 1}, of, nil
	}
	for n := range of {
		which = append(which, n)
	}
	return which, of, nil
}

// times names the landings of a view by when they happen.
func (v seen) times() string {
	var at []string
	for _, t := range v.trials {
		at = append(at, fmt.Sprintf("%.2f s", t.ContactS))
	}
	if len(at) == 1 {
		return "one landing (at " + at[0] + ")"
	}
	return fmt.Sprintf("%d landings (at %s)", len(at), strings.Join(at, ", "))
}

func (r Request) scoreOne(ctx context.Context, views []seen, n int) (Outcome, error) {
	var landings []kinematics.Landing
	for _, v := range views {
		l, err := kinematics.Derive(v.trials[n].Track, r.options(v.source, v.placed))
		if err != nil {
			return Outcome{}, fmt.Errorf("%q: %w", v.source.name(), v.placed.explain(err))
		}
		landings = append(landings, l)
	}
	feet, limb, landings := scoring.Judged(r.Limb, landings)
	note := feetNote(feet, limb)
	count := 1
	if limb == kinematics.Both {
		count = 2
	}
	list, err := r.checklist(count)
	if err != nil {
		return Outcome{}, err
	}
	out := Outcome{
		Result:    scoring.NewResult(r.Task, limb, landings, scoring.Apply(list, landings)),
		Checklist: list,
	}
	res := &out.Result
	res.Feet = &feet
	res.Tool, res.HeightCM, res.MassKG, res.AgeYears = r.Tool, r.StatureCM, r.MassKG, r.AgeYears
	res.Published = append(res.Published, scoring.Published(r.Task, count, r.AgeYears)...)
	switch {
	case feet.Finding == scoring.Error:
		res.Doubts = append(res.Doubts, note)
	case note != "":
		res.Warnings = append(res.Warnings, note)
	}
	if (list.Feet == scoring.OneFoot && count == 2) || (list.Feet == scoring.TwoFeet && count == 1) {
		res.Warnings = append(res.Warnings, fmt.Sprintf("the checklist %s is for %s-foot landings, but this one was on %d", list.Name, list.Feet, count))
	}
	for i, v := range views {
		t := v.trials[n].Track
		options := r.options(v.source, v.placed)
		out.Views = append(out.Views, Held{t, v.placed.how, options})
		w := &res.Views[i]
		w.Clip, w.Width, w.Height = filepath.Base(v.source.name()), t.Width, t.Height
		w.Points, w.Mirrored, w.LeftLeg = v.placed.how, r.Points.Mirrored, leftLeg(t.View, r.Points.Mirrored)
		for _, note := range v.placed.notes {
			res.Warnings = append(res.Warnings, string(t.View)+": "+note)
		}
		for _, c := range video.Capture(t, r.Task, options.CaptureFPS) {
			w.Capture = append(w.Capture, scoring.CaptureCheck{Check: c.Name, Value: c.Value, Unit: c.Unit, Verdict: c.Verdict, Why: c.Why})
		}
		if err := r.shoot(ctx, v.source, t, landings[i], &out); err != nil {
			return Outcome{}, err
		}
	}
	return out, nil
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

func (s Source) name() string {
	switch {
	case s.Clip != "":
		return s.Clip
	case s.Held != nil:
		return "the kept track"
	}
	return s.Track
}

// feetNote is what is to be said of the feet that landed; empty where they were seen as asked.
func feetNote(feet scoring.FeetCheck, limb kinematics.Side) (note string) {
	switch {
	case feet.Finding == scoring.Error:
		note = "the landing was not on the feet that were asked for, so nothing of it is scored; if it was meant so, say with --limb which landed"
	case feet.Finding == scoring.NotSeen && limb == kinematics.Both:
		note = "one foot was not seen to land, so the landing is taken to be on two feet; if it was on one, say which with --limb"
	case feet.Finding == scoring.NotSeen:
		note = "the other foot was not seen in the air, so the landing earns no step on one foot"
	}
	return note
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
	data, err := bounded.ReadFile(name, bounded.MostYAML, "the checklist")
	if err != nil {
		return scoring.Checklist{}, err
	}
	c, err := scoring.Parse(data)
	if err != nil {
		return c, fmt.Errorf("%s: %w", name, err)
	}
	return c, nil
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
	t, err := kinematics.ReadTrack(bounded.Table(f), kinematics.Front)
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
