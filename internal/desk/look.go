package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"steadfall/internal/archive"
	"steadfall/internal/bounded"
	"steadfall/internal/worker"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/scoring"
)

// lookPage is a trial to be looked at frame by frame.
type lookPage struct {
	Trial archive.Trial
	Clips bool // at least one is kept
	Data  lookData
	Again againPart
	Asked []scoring.Finding // that only a person can answer
	Found []scoring.Finding // the others, those that need a look first
}

// lookData is what the script of the page is given.
type lookData struct {
	Trial int64      `json:"trial"`
	CSRF  string     `json:"csrf"`
	Views []lookView `json:"views"`
}

// lookView is one view: its points frame by frame, px of the clip, and what was found.
type lookView struct {
	View      kinematics.View                            `json:"view"`
	Clip      bool                                       `json:"clip"` // is kept, so that it can be seen
	Width     int                                        `json:"width"`
	Height    int                                        `json:"height"`
	Frames    []int                                      `json:"frames"` // their numbers in the clip
	TimeS     []float64                                  `json:"time_s"`
	Points    map[kinematics.Landmark][][3]*float64      `json:"points"` // x, y and sd of each frame; null where not seen
	Marks     []lookMark                                 `json:"marks"`
	Curves    []lookCurve                                `json:"curves"`
	CurveTime []*float64                                 `json:"curve_time_s"`
	Placed    map[int]map[kinematics.Landmark][2]float64 `json:"placed"` // by people
}

// lookMark is a moment on the scrubber.
type lookMark struct {
	Name  string `json:"name"`
	Frame int    `json:"frame"`
}

// lookCurve is one curve of the view.
type lookCurve struct {
	Name   string     `json:"name"`
	Unit   string     `json:"unit"`
	Side   string     `json:"side"` // left, right, or empty for the body
	Values []*float64 `json:"values"`
}

// againPart is how far the new measuring of a trial has come.
type againPart struct {
	Trial int64
	State archive.AgainState
	Why   string
}

func (d *Desk) look(r request) error {
	p, t, err := d.trialPage(r)
	if err != nil {
		return err
	}
	views, err := d.Archive.Views(r.Context(), t.ID)
	if err != nil {
		return err
	}
	placed, err := d.Archive.Placements(r.Context(), t.ID)
	if err != nil {
		return err
	}
	page := lookPage{Trial: t, Data: lookData{Trial: t.ID, CSRF: r.login.CSRF}, Again: againPart{Trial: t.ID}}
	if page.Again.State, page.Again.Why, err = d.Archive.Again(r.Context(), t.ID); err != nil {
		return err
	}
	for _, v := range views {
		page.Clips = page.Clips || v.Clip != ""
		page.Data.Views = append(page.Data.Views, lookAt(v, p.Result, placed))
	}
	for _, f := range p.Result.Score.Items {
		if f.Finding == scoring.ForRater {
			page.Asked = append(page.Asked, f)
		} else {
			page.Found = append(page.Found, f)
		}
	}
	slices.SortStableFunc(page.Found, func(a, b scoring.Finding) int { return lookFirst(a.Finding) - lookFirst(b.Finding) })
	if err := d.Archive.Audit(r.Context(), r.login.Staff.Name, "looked at the clip of trial "+r.PathValue("id"), t.Athlete); err != nil {
		return err
	}
	return d.show(r, "look.html", t.Name(), page)
}

// lookFirst orders findings by how much a look is worth.
func lookFirst(v scoring.Verdict) int {
	return slices.Index([]scoring.Verdict{scoring.TooClose, scoring.Error, scoring.NotSeen, scoring.Clear}, v)
}

// markNames are the moments that the scrubber shows.
var markNames = map[kinematics.EventName]string{
	kinematics.InitialContact: "Contact", kinematics.Lowest: "Deepest", kinematics.StillFrom: "Still", kinematics.HoldEnd: "End of hold", kinematics.Takeoff: "Take-off",
}

func lookAt(v archive.View, res scoring.Result, placed []archive.Placed) lookView {
	t := v.Track
	out := lookView{
		View: t.View, Clip: v.Clip != "", Width: t.Width, Height: t.Height, Frames: t.Frame,
		Points: map[kinematics.Landmark][][3]*float64{}, Placed: map[int]map[kinematics.Landmark][2]float64{},
		Marks: []lookMark{}, Curves: []lookCurve{},
	}
	for _, s := range t.TimeS {
		out.TimeS = append(out.TimeS, round(s, 4))
	}
	for l, ps := range t.Points {
		for _, p := range ps {
			var at [3]*float64
			if p.Seen() {
				x, y, sd := round(p.X, 1), round(p.Y, 1), round(p.SD, 1)
				at = [3]*float64{&x, &y, &sd}
			}
			out.Points[l] = append(out.Points[l], at)
		}
	}
	for _, p := range placed {
		if p.View != t.View {
			continue
		}
		if out.Placed[p.Frame] == nil {
			out.Placed[p.Frame] = map[kinematics.Landmark][2]float64{}
		}
		out.Placed[p.Frame][p.Landmark] = [2]float64{p.X, p.Y}
	}
	for _, w := range res.Views {
		if w.View != t.View {
			continue
		}
		for _, e := range w.Events {
			if name, ok := markNames[e.Name]; ok && !slices.ContainsFunc(out.Marks, func(m lookMark) bool { return m.Name == name }) {
				out.Marks = append(out.Marks, lookMark{name, e.Frame})
			}
		}
	}
	slices.SortFunc(out.Marks, func(a, b lookMark) int { return a.Frame - b.Frame })
	series := res.Series[string(t.View)]
	out.CurveTime = series["time_s"]
	for _, c := range report.CurveNames(series) {
		out.Curves = append(out.Curves, lookCurve{c.Words, c.Unit, c.Side, series[c.Name]})
	}
	return out
}

func round(v float64, digits int) float64 {
	k := math.Pow10(digits)
	return math.Round(v*k) / k
}

// viewOfPath is the kept view that the path names, of its trial.
func (d *Desk) viewOfPath(r request) (archive.View, error) {
	none := &refusal{http.StatusNotFound, "There is no such picture."}
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		return archive.View{}, none
	}
	clip, err := d.Archive.ClipOf(r.Context(), id, kinematics.View(r.PathValue("view")))
	if err != nil || clip == "" {
		return archive.View{}, none
	}
	return archive.View{Clip: clip}, nil
}

// frameOf answers with one frame of a trial's clip.
func (d *Desk) frameOf(r request) error {
	v, err := d.viewOfPath(r)
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(strings.TrimSuffix(r.PathValue("frame"), ".jpg"))
	if err != nil || n < 0 {
		return &refusal{http.StatusNotFound, "There is no such picture."}
	}
	jpeg, err := d.frames.get(r.Context(), v.Clip, n)
	var no *worker.Refused
	switch {
	case err == nil:
	case r.Context().Err() != nil:
		return nil // nobody waits for it
	case errors.Is(err, errAllFrames), errors.Is(err, errTooMany), errors.As(err, &no):
		return &refusal{http.StatusNotFound, strings.ToUpper(err.Error()[:1]) + err.Error()[1:] + "."}
	default:
		return err
	}
	r.w.Header().Set("Content-Type", "image/jpeg")
	_, _ = r.w.Write(jpeg) // the browser may be gone
	return nil
}

func (d *Desk) trialEvents(r request) error {
	t, err := d.trialOf(r)
	if err != nil {
		return err
	}
	return d.stream(r, trialTopic(t.ID))
}

// again is the part of the page that says how far the new measuring has come.
func (d *Desk) again(r request) error {
	t, err := d.trialOf(r)
	if err != nil {
		return err
	}
	p := againPart{Trial: t.ID}
	if p.State, p.Why, err = d.Archive.Again(r.Context(), t.ID); err != nil {
		return err
	}
	if p.State == "" { // it is done: the page is made anew
		r.w.Header().Set("HX-Refresh", "true")
	}
	return d.show(r, "again.html", "", p)
}

// pointsSaid are points that a person placed and took away, as the script sends them.
type pointsSaid struct {
	View kinematics.View `json:"view"`
	Set  []pointSaid     `json:"set"`
	Gone []pointSaid     `json:"gone"`
}

type pointSaid struct {
	Frame    int                 `json:"frame"`
	Landmark kinematics.Landmark `json:"landmark"`
	X        float64             `json:"x"`
	Y        float64             `json:"y"`
}

// correct keeps points and has the trial measured again with them.
func (d *Desk) correct(r request) error {
	t, err := d.trialOf(r)
	if err != nil {
		return err
	}
	var said pointsSaid
	text, err := bounded.Read(r.Body, mostBody)
	if err == nil {
		err = bounded.JSON(text)
	}
	in := json.NewDecoder(bytes.NewReader(text))
	in.DisallowUnknownFields()
	if err != nil || in.Decode(&said) != nil {
		return bad("these points cannot be read; open the page again")
	}
	views, err := d.Archive.Views(r.Context(), t.ID)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(views, func(v archive.View) bool { return v.Track.View == said.View })
	switch {
	case i < 0:
		return bad("the trial has no such view")
	case views[i].Clip == "":
		return bad("the clip of this view was not kept, so that points cannot be placed on it")
	case len(said.Set)+len(said.Gone) == 0:
		return bad("no point was moved")
	}
	set, err := pointsOn(views[i].Track, said.Set)
	if err != nil {
		return err
	}
	gone, err := pointsOn(views[i].Track, said.Gone)
	if err != nil {
		return err
	}
	if err := d.Archive.Correct(r.Context(), t.ID, set, gone, r.login.Staff.Name); err != nil {
		return err
	}
	d.enqueue(context.WithoutCancel(r.Context()))
	d.news.tell(trialTopic(t.ID))
	r.w.WriteHeader(http.StatusNoContent)
	return d.Archive.Audit(r.Context(), r.login.Staff.Name, fmt.Sprintf("placed %d points, trial %d", len(set), t.ID), t.Athlete)
}

// pointsOn checks points against the pictures of a track.
func pointsOn(t kinematics.Track, said []pointSaid) ([]archive.Placed, error) {
	var out []archive.Placed
	for _, p := range said {
		if _, err := kinematics.ParseLandmark(string(p.Landmark)); err != nil {
			return nil, bad("%v", err)
		}
		if _, ok := slices.BinarySearch(t.Frame, p.Frame); !ok {
			return nil, bad("the landing has no frame %d", p.Frame)
		}
		if !(p.X >= 0 && p.Y >= 0 && p.X <= float64(t.Width-1) && p.Y <= float64(t.Height-1)) {
			return nil, bad("a point lies outside the picture")
		}
		out = append(out, archive.Placed{View: t.View, Frame: p.Frame, Landmark: p.Landmark, X: p.X, Y: p.Y})
	}
	return out, nil
}
