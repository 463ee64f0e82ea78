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

func newInspect() *cobra.Command {
	var task string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "inspect CLIP",
		Short: "say what a clip is and whether it can be measured",
		Args:  oneArg("clip"),
		RunE: func(cmd *cobra.Command, args []string) error {
			t, err := kinematics.ParseTask(task)
			if err != nil {
				return wrong(cmd, "%v", err)
			}
			if err := beside.ReadClips(); err != nil {
				return err
			}
			r, err := reader(cmd).Inspect(cmd.Context(), args[0], t, teller(cmd))
			if err != nil {
				return err
			}
			if asJSON {
				return printJSON(cmd.OutOrStdout(), r)
			}
			printInspection(cmd.OutOrStdout(), filepath.Base(args[0]), r)
			return nil
		},
	}
	cmd.Flags().StringVar(&task, "task", string(kinematics.DropLanding), "what the athlete does in it")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}

func printInspection(w io.Writer, name string, r video.Report) {
	fmt.Fprintf(w, "%s\n", name)
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintf(t, "  picture\t%d × %d pixels as shown\n", r.Info.Width, r.Info.Height)
	turned := fmt.Sprintf("%d° clockwise", r.Info.RotationDeg)
	if r.Info.Mirrored {
		turned = "as in a mirror, then " + turned
	}
	fmt.Fprintf(t, "  turned to be shown\t%s\n", turned)
	fmt.Fprintf(t, "  file\t%s, %s\n", r.Info.Container, r.Info.Codec)
	fmt.Fprintf(t, "  length\t%d frames, %.2f s\n", r.Timing.Frames, r.Timing.DurationS)
	spread := "steady"
	if !r.Timing.Steady() {
		spread = "varies"
	}
	fmt.Fprintf(t, "  true rate\t%.2f a second, %s (%.1f to %.1f ms between frames)\n", r.Timing.RateHz, spread, r.Timing.ShortestMS, r.Timing.LongestMS)
	if r.Info.CaptureFPS > 0 {
		fmt.Fprintf(t, "  slow motion\tfilmed at %.0f a second, the phone says\n", r.Info.CaptureFPS)
	}
	if r.Info.HDR != "" {
		fmt.Fprintf(t, "  colours\t%s, brought to the ordinary range\n", r.Info.HDR)
	}
	for _, l := range r.Losses {
		if l.CutOff {
			fmt.Fprintf(t, "  cut off\tafter %.2f s\n", l.FromS)
		} else {
			fmt.Fprintf(t, "  damaged\tfrom %.2f s to %.2f s\n", l.FromS, l.ToS)
		}
	}
	for _, z := range r.Freezes {
		fmt.Fprintf(t, "  frozen\t%d frames, in whole or in part, from %.2f s to %.2f s, though the athlete moves on\n", z.Pictures, z.FromS, z.ToS)
	}
	t.Flush()
	fmt.Fprintln(w)
	t = tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	for _, c := range r.Checks {
		fmt.Fprintf(t, "  %s\t%s\t%.1f %s\t%s\n", c.Verdict, c.Name, c.Value, c.Unit, c.Why)
	}
	t.Flush()
}
