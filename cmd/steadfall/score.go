package main

import (
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/beside"
	"steadfall/internal/pipeline"
	"steadfall/internal/quantity"
	"steadfall/internal/safefile"
	"steadfall/kinematics"
	"steadfall/report"
	"steadfall/report/landing"
	"steadfall/report/sheet"
	"steadfall/scoring"
)

// scoreOptions are what a score is asked for.
type scoreOptions struct {
	request     pipeline.Request
	front, side viewOptions
	task, limb  string
	picture     string
	out         outputs
}

// viewOptions are what is said of one view.
type viewOptions struct {
	pipeline.Files
	scale, plumb string
}

func newScore() *cobra.Command {
	var o scoreOptions
	cmd := &cobra.Command{
		Use:   "score [--front CLIP] [--side CLIP] ...",
		Short: "measure and score one landing",
		Long: `Measure and score one landing, filmed from the front, the side, or both.

Points are placed automatically, or come from a track made before. Points placed by
hand in a placements file win over the automatic ones and improve the frames around
them. A clip may hold several landings: each is scored, and the report and the JSON
file of each get its number in their names. A length known at the landing place gives the
best scale: --front-scale CM:X1,Y1:X2,Y2 says that the two points of the picture
are CM centimetres apart; else give the athlete's height. Where the phone was not held
upright, --front-plumb X1,Y1:X2,Y2 names a line of the picture that is, such as a door
frame.`,
		Example: `  steadfall score --front front.mp4 --side side.mp4 \
                  --athlete-height-cm 172 -o report.html
  steadfall score --front-track front.csv --athlete-height-cm 172 --json -`,
		Args: viewArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd) },
	}
	o.flags(cmd)
	return cmd
}

func (o *scoreOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.front.Clip, "front", "", "`CLIP` from the front")
	f.StringVar(&o.front.Placements, "front-placements", "", "points placed on it (`P.json`)")
	f.StringVar(&o.front.Track, "front-track", "", "track of the front view (`T.csv`)")
	f.StringVar(&o.side.Clip, "side", "", "`CLIP` from the side")
	f.StringVar(&o.side.Placements, "side-placements", "", "points placed on it (`P.json`)")
	f.StringVar(&o.side.Track, "side-track", "", "track of the side view (`T.csv`)")
	f.StringVar(&o.task, "task", string(kinematics.DropLanding), "`TASK`: "+taskNames())
	f.StringVar(&o.request.Checklist, "checklist", "", "bundled `NAME` or a .yaml file (default: by the feet that landed)")
	statureFlag(f, &o.request.StatureCM, "athlete-height-cm", "the athlete's height, `CM`")
	numberFlag(f, &o.request.MassKG, "mass-kg", 15, 250, "the athlete's mass, `KG`, noted in the result")
	numberFlag(f, &o.request.AgeYears, "age-years", 5, 100, "the athlete's age, `N`; published ranges of adults are not shown for minors")
	numberFlag(f, &o.request.BoxCM, "box-cm", 5, 150, "height of the box dropped from, `CM`, to check the fall against")
	f.StringVar(&o.limb, "limb", string(kinematics.Both), "`LEG` landed on: both, left or right")
	numberFlag(f, &o.request.CaptureFPS, "capture-fps", 20, 2000, "frames a second a slow-motion clip was filmed at (`N`)")
	squareFlag(f, &o.request.SquareDeg)
	pictureFlag(f, &o.picture)
	f.IntVar(&o.request.Landing, "landing", 0, "score only the `N`th landing of the clips")
	pointFlags(f, &o.request.Points)
	f.StringVar(&o.front.scale, "front-scale", "", "known length in the front view, `CM:X1,Y1:X2,Y2`")
	f.StringVar(&o.side.scale, "side-scale", "", "known length in the side view, `CM:X1,Y1:X2,Y2`")
	f.StringVar(&o.front.plumb, "front-plumb", "", "upright line of the front view, `X1,Y1:X2,Y2`")
	f.StringVar(&o.side.plumb, "side-plumb", "", "upright line of the side view, `X1,Y1:X2,Y2`")
	f.StringVar(&o.out.json, "json", "", "write the result as JSON (`FILE`, or - for standard output)")
	f.StringVarP(&o.out.report, "out", "o", "", "write the report (`REPORT.html`)")
	f.StringVar(&o.out.sheet, "sheet", "", "write the athlete's own page (`SHEET.html`)")
	localeFlags(cmd, &o.out.locale)
}

func (o *scoreOptions) run(cmd *cobra.Command) error {
	if err := o.parse(cmd); err != nil {
		return err
	}
	if err := o.keepInputs(cmd, o.out); err != nil {
		return err
	}
	if err := o.out.check(cmd); err != nil {
		return err
	}
	if err := o.read(); err != nil {
		return err
	}
	if o.request.ReadsClips() {
		if err := beside.ReadClips(); err != nil {
			return err
		}
	}
	o.request.Tool, o.request.Tell = "steadfall "+version, teller(cmd)
	all, err := runner(cmd)(cmd.Context(), o.request)
	if err != nil {
		return err
	}
	for _, one := range all {
		if l := one.Result.Landing; l != nil && len(all) > 1 {
			if err := o.keepInputs(cmd, o.out.numbered(l.Number)); err != nil {
				return err
			}
		}
	}
	return deliverAll(cmd, all, o.out)
}

// parse puts what the flags say in words into the request.
func (o *scoreOptions) parse(cmd *cobra.Command) error {
	var err error
	r := &o.request
	if r.Task, err = kinematics.ParseTask(o.task); err != nil {
		return wrong(cmd, "%v", err)
	}
	if r.Limb, err = parseLimb(o.limb); err != nil {
		return wrong(cmd, "%v", err)
	}
	if !o.front.Given() && !o.side.Given() {
		return wrong(cmd, "name at least one clip or track: --front, --side, --front-track or --side-track")
	}
	if err := o.parseLines(cmd); err != nil {
		return err
	}
	if r.Picture, err = quantity.Picture(o.picture); err != nil {
		return wrong(cmd, "%v", err)
	}
	if err := checkPoints(cmd, r.Points); err != nil {
		return err
	}
	if cmd.Flags().Changed("landing") && r.Landing < 1 {
		return wrong(cmd, "--landing counts from 1")
	}
	return nil
}

// parseLines reads the known lengths and the upright lines.
func (o *scoreOptions) parseLines(cmd *cobra.Command) (err error) {
	r := &o.request
	for _, v := range []struct {
		flag, text string
		to         **kinematics.KnownLength
	}{{"--front-scale", o.front.scale, &r.Front.Length}, {"--side-scale", o.side.scale, &r.Side.Length}} {
		if *v.to, err = quantity.Length(v.text); err != nil {
			return wrong(cmd, "%s %q: %v", v.flag, v.text, err)
		}
	}
	for _, v := range []struct {
		flag, text string
		to         **kinematics.Plumb
	}{{"--front-plumb", o.front.plumb, &r.Front.Plumb}, {"--side-plumb", o.side.plumb, &r.Side.Plumb}} {
		if *v.to, err = quantity.Plumb(v.text); err != nil {
			return wrong(cmd, "%s %q: %v", v.flag, v.text, err)
		}
	}
	return nil
}

// read reads placements and tracks, and finds what else can be known to be wrong before a clip
// is read.
func (o *scoreOptions) read() error {
	for _, v := range []struct {
		files pipeline.Files
		to    *pipeline.Source
		front bool
	}{{o.front.Files, &o.request.Front, true}, {o.side.Files, &o.request.Side, false}} {
		s, err := v.files.Read(v.front)
		if err != nil {
			return err
		}
		v.to.Clip, v.to.Placements, v.to.Track = s.Clip, s.Placements, s.Track
	}
	return o.request.Check()
}

// keepInputs refuses outputs that would overwrite what the score is made from, or an archive.
func (o *scoreOptions) keepInputs(cmd *cobra.Command, to outputs) error {
	outs := []string{to.report, to.sheet, to.json}
	for _, out := range outs {
		if err := archive.NotOwn(out); err != nil {
			return err
		}
	}
	for _, in := range slices.Concat(o.front.All(), o.side.All()) {
		for _, out := range outs {
			if safefile.Same(out, in) {
				return wrong(cmd, "%q would be overwritten; choose another name for the output", in)
			}
		}
	}
	return nil
}

// deliverAll delivers each landing; of several, each gets its number in its files'
// names.
func deliverAll(cmd *cobra.Command, all []pipeline.Outcome, to outputs) error {
	if len(all) == 1 {
		return deliver(cmd, all[0], to)
	}
	if to.json == "-" {
		return fmt.Errorf("the clips hold %d landings; choose one with --landing, or name a file for --json", len(all))
	}
	for _, o := range all {
		n := o.Result.Landing.Number
		fmt.Fprintf(cmd.OutOrStdout(), "Landing %d of %d, contact at %.2f s\n", n, o.Result.Landing.Of, o.Result.Landing.ContactS)
		if err := deliver(cmd, o, to.numbered(n)); err != nil {
			return err
		}
	}
	return nil
}

// deliver writes the result where it was asked for, and otherwise a summary.
func deliver(cmd *cobra.Command, o pipeline.Outcome, to outputs) error {
	warn(cmd, o.Result.Notes())
	if to.report != "" {
		if err := writeReport(cmd, to.report, landing.Page{About: report.About{Locale: to.locale, Made: time.Now()}, Subtitle: whichLanding(o.Result), Result: o.Result, Pictures: o.Pictures}); err != nil {
			return err
		}
	}
	if to.sheet != "" {
		page := sheet.Page{About: report.About{Locale: to.locale, Made: time.Now()}, Result: o.Result, Pictures: o.Pictures}
		if err := writeOut(cmd, to.sheet, func(w io.Writer) error { return sheet.Write(w, page) }); err != nil {
			return err
		}
	}
	if to.json != "" {
		data, err := pipeline.JSON(o.Result)
		if err != nil {
			return err
		}
		err = writeOut(cmd, to.json, func(w io.Writer) error {
			_, err := w.Write(data)
			return err
		})
		if err != nil || to.json == "-" {
			return err
		}
	}
	printScore(cmd.OutOrStdout(), o.Result.Score)
	return nil
}

// whichLanding names the landing where the clips hold several.
func whichLanding(r scoring.Result) scoring.Sentence {
	if r.Landing == nil {
		return scoring.Sentence{}
	}
	return scoring.Sentence{Words: "Landing %d of %d in the clip, contact at %.2f s.", Args: []any{r.Landing.Number, r.Landing.Of, r.Landing.ContactS}}
}
