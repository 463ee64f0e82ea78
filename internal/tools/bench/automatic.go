package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"steadfall/internal/testkit/synthetic"
	"steadfall/kinematics"
	"steadfall/video"
)

// The limits on hip, knee and ankle, as shares of the body height.
const (
	medianMost     = 0.02
	medianMostSide = 0.025
	tailMost       = 0.045 // 95th percentile
)

// auto is how automatic placing did on one variant of one clip.
type auto struct {
	clip, variant string
	side          bool
	joints        []float64 // errors of hip, knee and ankle, share of the body height
	axes, within  int       // their coordinates, and those within one stated sd
	measures      []check
	took, lasts   float64 // s
	note          string
}

// check is a measured value against truth.
type check struct {
	what      string
	error, sd float64
	limit     float64
	unit      string
}

func (c check) ok() bool { return math.Abs(c.error) <= c.limit }

// automatic prints the accuracy with no point placed by hand, on the clips and their
// spoilt copies.
func automatic(ctx context.Context, w io.Writer, nets video.Nets, only, onlyVariant string) error {
	var rows []auto
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "variant\tclip\tjoints: median, 95th (%)\tcontact (frames)\tFPPA peak (deg)\tknee flexion (deg)\tdepth, length and height (cm)\thold (s)\t× duration\t")
	err := spoilt(ctx, only, onlyVariant, func(c synthetic.Truth, v synthetic.Variant, path string) error {
		r, err := placeOne(ctx, c, v, path, nets)
		if err != nil {
			return err
		}
		rows = append(rows, r)
		fmt.Fprintf(t, "%s\t%s\t%.2f, %.2f\t%s\t%s\t%s\t%s\t%s\t%.2f\t%s\n", r.variant, r.clip,
			100*quantile(r.joints, 0.5), 100*quantile(r.joints, 0.95), r.list("contact"), r.list("FPPA peak"), r.list("knee flexion"), r.list("depth"), r.list("hold"), r.took/r.lasts, r.note)
		return nil
	})
	if err != nil {
		return err
	}
	t.Flush()
	printSummary(w, rows)
	return nil
}

// spoilt makes each clip and its spoilt copies in turn, and hands them to use.
func spoilt(ctx context.Context, only, onlyVariant string, use func(c synthetic.Truth, v synthetic.Variant, path string) error) error {
	clips, err := synthetic.Clips(clipDir)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "steadfall-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	for _, v := range synthetic.Variants {
		if onlyVariant != "" && v.Name != onlyVariant {
			continue
		}
		for _, c := range clips {
			if only != "" && c.Name != only {
				continue
			}
			path, err := v.Make(ctx, filepath.Join(clipDir, c.Name+".mp4"), dir)
			if err != nil {
				return err
			}
			if err := use(c, v, path); err != nil {
				return err
			}
			fmt.Fprintf(os.Stderr, "%s %s\n", v.Name, c.Name)
		}
	}
	return nil
}

// list is the errors of the measures whose names start so; ! marks one past its limit.
func (r auto) list(name string) string {
	var out []string
	for _, m := range r.measures {
		if strings.HasPrefix(m.what, name) {
			mark := ""
			if !m.ok() {
				mark = "!"
			}
			out = append(out, fmt.Sprintf("%+.2f%s", m.error, mark))
		}
	}
	return strings.Join(out, " ")
}

func placeOne(ctx context.Context, c synthetic.Truth, v synthetic.Variant, path string, nets video.Nets) (auto, error) {
	r := auto{clip: c.Name, variant: v.Name, side: c.View.IsSide()}
	began := time.Now()
	people, _, err := video.Place(ctx, path, nets, video.Placements{}, nil)
	if err != nil {
		return r, err
	}
	q, tr := lander(people, c)
	r.took, r.lasts = time.Since(began).Seconds(), tr.TimeS[len(tr.TimeS)-1]
	if len(people) > 1 {
		r.note = fmt.Sprintf("%d people seen", len(people))
	}
	if q.View != c.View {
		r.note += fmt.Sprintf(" taken for %s", q.View)
	}
	r.landmarks(c, v, tr)
	r.values(c, v, tr)
	return r, nil
}

// lander is the one of the people who lands, as the tool finds them.
func lander(people []video.Person, c synthetic.Truth) (video.Person, kinematics.Track) {
	for _, q := range people {
		tr := q.Track(c.View)
		if found, err := kinematics.Trials(tr, kinematics.Options{Task: c.Task()}); err == nil && len(found) > 0 {
			return q, tr
		}
	}
	return people[0], people[0].Track(c.View)
}

// landmarks compares hip, knee and ankle with the truth where they can be seen.
func (r *auto) landmarks(c synthetic.Truth, v synthetic.Variant, tr kinematics.Track) {
	body := c.BodyPx() * v.Shrink
	for i, t := range tr.TimeS {
		n := int(math.Round(t * c.FPS))
		if n >= len(c.Frames) {
			break
		}
		for _, l := range kinematics.Landmarks() {
			part := l.Part()
			if part != kinematics.Hip && part != kinematics.Knee && part != kinematics.Ankle {
				continue
			}
			q := tr.Points[l][i]
			x, y, ok := c.Point(n, l)
			if !ok || !q.Seen() || slices.Contains(c.Frames[n].Hidden, string(l)) {
				continue
			}
			dx, dy := q.X-((x+0.5)*v.Shrink-0.5), q.Y-((y+0.5)*v.Shrink-0.5)
			r.joints = append(r.joints, math.Hypot(dx, dy)/body)
			for _, d := range []float64{dx, dy} {
				r.axes++
				if math.Abs(d) < q.SD {
					r.within++
				}
			}
		}
	}
}

// values compares the measures with the truth.
func (r *auto) values(c synthetic.Truth, v synthetic.Variant, tr kinematics.Track) {
	opt := kinematics.Options{Task: c.Task(), Limb: kinematics.Both, StatureCM: c.StatureCM}
	l, err := kinematics.Derive(tr, opt)
	if err != nil {
		r.note += " " + err.Error()
		return
	}
	opt.Length = &kinematics.KnownLength{CM: 100, X2: 100 * c.Truth.PxPerCM["contact"] * v.Shrink}
	byLength, err := kinematics.Derive(tr, opt)
	if err != nil {
		r.note += " " + err.Error()
		return
	}
	add := func(l kinematics.Landing, what, measure string, side kinematics.Side, truth, limit float64, unit string) {
		if m, ok := l.Measure(measure, side); ok {
			r.measures = append(r.measures, check{what, m.Value - truth, m.SD, limit, unit})
		}
	}
	for _, s := range c.LandingFeet {
		side := kinematics.Side(s)
		if r.side && side != l.View.Near() {
			continue
		}
		for _, e := range l.Events {
			if e.Name == kinematics.InitialContact && e.Side == side {
				r.measures = append(r.measures, check{"contact", (e.TimeS - *c.Truth.ContactS[s]) * l.RateHz, e.SDS * l.RateHz, 1.5, "frames"})
			}
		}
		if !r.side {
			add(l, "FPPA peak", "fppa_peak", side, c.Truth.FPPA[s]["peak"], 4, "deg")
		}
	}
	if near := c.View.Near(); near != kinematics.Both {
		add(l, "knee flexion", "knee_flexion_peak", near, c.Truth.KneeFlexion[string(near)], 6, "deg")
	}
	add(byLength, "depth, length", "landing_depth", kinematics.Both, c.Truth.DepthCM, 3, "cm")
	add(l, "depth, height", "landing_depth", kinematics.Both, c.Truth.DepthCM, 3, "cm")
	add(l, "hold time", "hold_time", kinematics.Both, c.Truth.HoldToS-c.Truth.HoldFromS, 0.15, "s")
}

func printSummary(w io.Writer, rows []auto) {
	var joints []float64
	var took, lasts float64
	axes, within, good := 0, 0, 0
	by := map[string][]check{}
	var order []string
	for _, r := range rows {
		joints, axes, within = append(joints, r.joints...), axes+r.axes, within+r.within
		took, lasts = took+r.took, lasts+r.lasts
		most := medianMost
		if r.side {
			most = medianMostSide
		}
		if quantile(r.joints, 0.5) <= most && quantile(r.joints, 0.95) <= tailMost {
			good++
		}
		for _, m := range r.measures {
			if by[m.what] == nil {
				order = append(order, m.what)
			}
			by[m.what] = append(by[m.what], m)
		}
	}
	fmt.Fprintf(w, "\nHip, knee, ankle: median %.2f %%, 95th percentile %.2f %% of the body height; %d of %d clips within the limits (median 2 %%, side 2.5 %%, 95th 4.5 %%); %.0f %% of the coordinates within one stated sd.\n",
		100*quantile(joints, 0.5), 100*quantile(joints, 0.95), good, len(rows), share(within, axes))
	fmt.Fprintf(w, "Time, decoding included: %.2f × the clips' duration over all.\n", took/lasts)
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "measure\tRMS\tworst\twithin the limit\twithin 1 sd")
	n, in := 0, 0
	for _, k := range order {
		var sum, worst float64
		ok, one := 0, 0
		for _, m := range by[k] {
			sum += m.error * m.error
			worst = math.Max(worst, math.Abs(m.error))
			if m.ok() {
				ok++
			}
			if math.Abs(m.error) <= m.sd {
				one++
			}
		}
		n, in = n+len(by[k]), in+one
		fmt.Fprintf(t, "%s\t%.2f %s\t%.2f\t%d of %d (%g)\t%.0f %%\n", k, math.Sqrt(sum/float64(len(by[k]))), by[k][0].unit, worst, ok, len(by[k]), by[k][0].limit, share(one, len(by[k])))
	}
	t.Flush()
	fmt.Fprintf(w, "The 68 %% intervals of all measures hold %.0f %% of the errors.\n", share(in, n))
}

func share(n, of int) float64 { return 100 * float64(n) / float64(max(of, 1)) }

func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(v))
	return s[int(q*float64(len(s)-1))]
}
