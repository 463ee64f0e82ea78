package main

import (
	"fmt"
	"io"
	"path/filepath"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"steadfall/internal/beside"
	"steadfall/kinematics"
	"steadfall/video"
)

// inspectOptions are what an inspection is asked for.
type inspectOptions struct {
	task   string
	asJSON bool
}

func newInspect() *cobra.Command {
	var o inspectOptions
	cmd := &cobra.Command{
		Use:   "inspect CLIP",
		Short: "say what a clip is and whether it can be measured",
		Args:  oneArg("clip"),
		RunE:  func(cmd *cobra.Command, args []string) error { return o.run(cmd, args[0]) },
	}
	cmd.Flags().StringVar(&o.task, "task", string(kinematics.DropLanding), "what the athlete does in it")
	cmd.Flags().BoolVar(&o.asJSON, "json", false, "print JSON")
	return cmd
}

func (o inspectOptions) run(cmd *cobra.Command, clip string) error {
	task, err := kinematics.ParseTask(o.task)
	if err != nil {
		return wrong(cmd, "%v", err)
	}
	if err := beside.ReadClips(); err != nil {
		return err
	}
	r, err := reader(cmd).Inspect(cmd.Context(), clip, task, teller(cmd))
	if err != nil {
		return err
	}
	if o.asJSON {
		return printJSON(cmd.OutOrStdout(), r)
	}
	printInspection(cmd.OutOrStdout(), filepath.Base(clip), r)
	return nil
}

func printInspection(w io.Writer, name string, r video.Report) {
	fmt.Fprintf(w, "%s\n", name)
	printClip(w, r)
	fmt.Fprintln(w)
	printChecks(w, r.Checks)
}

// printClip prints what the clip is.
func printClip(w io.Writer, r video.Report) {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintf(t, "  picture\t%d × %d pixels as shown\n", r.Info.Width, r.Info.Height)
	fmt.Fprintf(t, "  turned to be shown\t%s\n", turnWords(r.Info))
	fmt.Fprintf(t, "  file\t%s, %s\n", r.Info.Container, r.Info.Codec)
	printTiming(t, r)
	if r.Info.HDR != "" {
		fmt.Fprintf(t, "  colours\t%s, brought to the ordinary range\n", r.Info.HDR)
	}
	printDamage(t, r)
	t.Flush()
}

// turnWords say how the stored pictures are turned to be shown.
func turnWords(i video.Info) string {
	turned := fmt.Sprintf("%d° clockwise", i.RotationDeg)
	if i.Mirrored {
		return "as in a mirror, then " + turned
	}
	return turned
}

func printTiming(w io.Writer, r video.Report) {
	fmt.Fprintf(w, "  length\t%d frames, %.2f s\n", r.Timing.Frames, r.Timing.DurationS)
	spread := "steady"
	if !r.Timing.Steady() {
		spread = "varies"
	}
	fmt.Fprintf(w, "  true rate\t%.2f a second, %s (%.1f to %.1f ms between frames)\n", r.Timing.RateHz, spread, r.Timing.ShortestMS, r.Timing.LongestMS)
	if r.Info.CaptureFPS > 0 {
		fmt.Fprintf(w, "  slow motion\tfilmed at %.0f a second, the phone says\n", r.Info.CaptureFPS)
	}
}

// printDamage prints what of the clip is lost or stands still.
func printDamage(w io.Writer, r video.Report) {
	for _, l := range r.Losses {
		if l.CutOff {
			fmt.Fprintf(w, "  cut off\tafter %.2f s\n", l.FromS)
		} else {
			fmt.Fprintf(w, "  damaged\tfrom %.2f s to %.2f s\n", l.FromS, l.ToS)
		}
	}
	for _, z := range r.Freezes {
		fmt.Fprintf(w, "  frozen\t%d frames, in whole or in part, from %.2f s to %.2f s, though the athlete moves on\n", z.Pictures, z.FromS, z.ToS)
	}
}

func printChecks(w io.Writer, all []video.Check) {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	for _, c := range all {
		fmt.Fprintf(t, "  %s\t%s\t%.1f %s\t%s\n", c.Verdict, c.Name, c.Value, c.Unit, c.Why)
	}
	t.Flush()
}
