package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"golang.org/x/sync/errgroup"

	"steadfall/internal/testkit/synthetic"
	"steadfall/kinematics"
	"steadfall/video"
)

const clipDir = "testdata/clips"

// errors of one clip under one seed; NaN where the clip has no such truth.
type row struct {
	clip    string
	seed    int
	contact float64   // frames, the worst foot
	fppa    []float64 // deg, each landing leg (front)
	flexion float64   // deg (side)
	depthL  float64   // cm, with a length known at the landing place
	depthH  float64   // cm, from the athlete's height alone
	hold    float64   // s
	lost    string    // how the hold ended
	note    string
}

// tracker makes the track of a clip from placements on it.
type tracker func(ctx context.Context, path string, pl video.Placements) (kinematics.Track, error)

// byHand follows placed points by optical flow alone.
func byHand(ctx context.Context, path string, pl video.Placements) (kinematics.Track, error) {
	t, _, err := video.Track(ctx, path, pl, nil)
	return t, err
}

// corrected places points automatically and corrects them by the placements.
func corrected(nets video.Nets) tracker {
	return func(ctx context.Context, path string, pl video.Placements) (kinematics.Track, error) {
		people, _, err := video.Place(ctx, path, nets, pl, nil)
		if err != nil {
			return kinematics.Track{}, err
		}
		return people[0].Track(pl.View), nil
	}
}

// handPlaced prints the accuracy with points placed on four frames, truth plus
// 2 px of seeded noise.
func handPlaced(ctx context.Context, w io.Writer, track tracker, seeds, show int, only string, verbose bool) error {
	clips, err := synthetic.Clips(clipDir)
	if err != nil {
		return err
	}
	var rows []*row
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(2)
	for _, c := range clips {
		if only != "" && c.Name != only {
			continue
		}
		for seed := 1; seed <= seeds; seed++ {
			r := &row{clip: c.Name, seed: seed}
			rows = append(rows, r)
			g.Go(func() error {
				text, err := score(ctx, c, track, uint64(seed), r)
				if verbose {
					fmt.Fprint(w, text)
				}
				return err
			})
		}
	}
	if err := g.Wait(); err != nil {
		return err
	}
	printRows(w, rows, show)
	fmt.Fprintf(w, "\nOver all %d seeds:\n", seeds)
	summary(w, rows)
	return nil
}

func score(ctx context.Context, c synthetic.Truth, track tracker, seed uint64, r *row) (string, error) {
	rng := c.Rand(seed)
	pl := c.Placements(c.CoachFrames(rng), 2, rng)
	tr, err := track(ctx, filepath.Join(clipDir, c.Name+".mp4"), pl)
	if err != nil {
		return "", err
	}
	r.contact, r.flexion, r.depthL, r.depthH, r.hold = math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()
	px := c.Truth.PxPerCM["contact"]
	opt := kinematics.Options{Task: c.Task(), Limb: kinematics.Both, StatureCM: c.StatureCM}
	byHeight, err := kinematics.Derive(tr, opt)
	if err != nil {
		r.note = err.Error()
		return "", nil
	}
	opt.Length = &kinematics.KnownLength{CM: 100, X2: 100 * px}
	l, err := kinematics.Derive(tr, opt)
	if err != nil {
		return "", err
	}
	r.contact = contactError(c, l)
	for _, s := range c.LandingFeet {
		side := kinematics.Side(s)
		if m, ok := l.Measure("fppa_peak", side); ok && c.View == kinematics.Front {
			r.fppa = append(r.fppa, m.Value-c.Truth.FPPA[s]["peak"])
		}
	}
	if near := c.View.Near(); near != kinematics.Both {
		if m, ok := l.Measure("knee_flexion_peak", near); ok {
			r.flexion = m.Value - c.Truth.KneeFlexion[string(near)]
		}
	}
	if m, ok := l.Measure("landing_depth", kinematics.Both); ok {
		r.depthL = m.Value - c.Truth.DepthCM
	}
	if m, ok := byHeight.Measure("landing_depth", kinematics.Both); ok {
		r.depthH = m.Value - c.Truth.DepthCM
	}
	if m, ok := l.Measure("hold_time", kinematics.Both); ok {
		r.hold = m.Value - (c.Truth.HoldToS - c.Truth.HoldFromS)
	}
	r.lost = string(l.Ending)
	return describe(c, l, seed), nil
}

func contactError(c synthetic.Truth, l kinematics.Landing) float64 {
	worst := math.NaN()
	for _, s := range c.LandingFeet {
		if l.View.IsSide() && s != string(l.View.Near()) {
			continue // the far foot is hidden
		}
		for _, e := range l.Events {
			if e.Name == kinematics.InitialContact && string(e.Side) == s {
				if d := (e.TimeS - *c.Truth.ContactS[s]) * c.FPS; !(math.Abs(d) <= math.Abs(worst)) {
					worst = d
				}
			}
		}
	}
	return worst
}

func describe(c synthetic.Truth, l kinematics.Landing, seed uint64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "== %s seed %d feet %v yaw %.1f gravity %+v scale %+v notes %v\n", c.Name, seed, l.Feet, l.YawSDDeg, l.Gravity, l.Scale, l.Notes)
	for _, e := range l.Events {
		fmt.Fprintf(&b, "   %-16s %-5s %.4f ± %.4f s, frame %d\n", e.Name, e.Side, e.TimeS, e.SDS, e.Frame)
	}
	for _, m := range l.Measures {
		fmt.Fprintf(&b, "   %-28s %-5s %8.2f ± %.2f %s, frame %d\n", m.Name, m.Side, m.Value, m.SD, m.Unit, m.Frame)
	}
	for _, m := range l.Missing {
		fmt.Fprintf(&b, "   - %s (%s): %s\n", m.Name, m.Side, m.Why)
	}
	return b.String()
}

func printRows(w io.Writer, rows []*row, seed int) {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "clip (seed)\tcontact (frames)\tFPPA peak (deg)\tknee flexion peak (deg)\tdepth, length (cm)\tdepth, height (cm)\thold (s)\thold ended")
	for _, r := range rows {
		if seed > 0 && r.seed != seed {
			continue
		}
		if r.note != "" {
			fmt.Fprintf(t, "%s\t%s\n", r.clip, r.note)
			continue
		}
		var f []string
		for _, e := range r.fppa {
			f = append(f, num(e))
		}
		fmt.Fprintf(t, "%s (%d)\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", r.clip, r.seed, num(r.contact), strings.Join(f, " "), num(r.flexion), num(r.depthL), num(r.depthH), num(r.hold), r.lost)
	}
	t.Flush()
}

func num(v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return fmt.Sprintf("%+.2f", v)
}

func summary(w io.Writer, rows []*row) {
	cols := []struct {
		name, unit string
		limit      float64
		of         func(*row) []float64
	}{
		{"contact", "frames", 1, func(r *row) []float64 { return []float64{r.contact} }},
		{"FPPA peak", "deg", 2.5, func(r *row) []float64 { return r.fppa }},
		{"knee flexion peak", "deg", 3, func(r *row) []float64 { return []float64{r.flexion} }},
		{"depth, known length", "cm", 1.5, func(r *row) []float64 { return []float64{r.depthL} }},
		{"depth, height alone", "cm", 3, func(r *row) []float64 { return []float64{r.depthH} }},
		{"hold time", "s", 0.15, func(r *row) []float64 { return []float64{r.hold} }},
	}
	for _, c := range cols {
		var sum, worst float64
		n, in := 0, 0
		for _, r := range rows {
			for _, e := range c.of(r) {
				if math.IsNaN(e) {
					continue
				}
				n++
				sum += e * e
				worst = math.Max(worst, math.Abs(e))
				if math.Abs(e) <= c.limit {
					in++
				}
			}
		}
		fmt.Fprintf(w, "  %-20s RMS %.2f, worst %.2f %s; %d of %d within %.2f\n", c.name, math.Sqrt(sum/float64(n)), worst, c.unit, in, n, c.limit)
	}
	for _, r := range rows {
		if r.note != "" {
			fmt.Fprintf(w, "  %s seed %d: %s\n", r.clip, r.seed, r.note)
		}
	}
}
