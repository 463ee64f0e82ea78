package main

import (
	"io"

	"github.com/spf13/cobra"

	"steadfall/internal/archive"
	"steadfall/internal/beside"
	"steadfall/internal/pipeline"
	"steadfall/internal/safefile"
	"steadfall/kinematics"
)

func newTrack() *cobra.Command {
	var files pipeline.Files
	var points pipeline.Points
	var view, out string
	cmd := &cobra.Command{
		Use:   "track CLIP [--placements P.json] -o TRACK.csv",
		Short: "place points in a clip and follow them",
		Long: `Place points in a clip and follow them.

Points are placed automatically. Points placed by hand win over them and improve the
frames around them.`,
		Args: oneArg("clip"),
		RunE: func(cmd *cobra.Command, args []string) error {
			files.Clip = args[0]
			switch {
			case out == "":
				return wrong(cmd, "say where the track goes with -o TRACK.csv, or -o - for standard output")
			case safefile.Same(out, args[0]) || safefile.Same(out, files.Placements):
				return wrong(cmd, "the track would overwrite what it is made from; choose another name for -o")
			}
			if err := archive.NotOwn(out); err != nil {
				return err
			}
			if err := checkPoints(cmd, points); err != nil {
				return err
			}
			if err := checkOut(cmd, "-o", out, aTrack); err != nil {
				return err
			}
			v := kinematics.View(view)
			if view != "" && v != pipeline.Sideways {
				var err error
				if v, err = kinematics.ParseView(view); err != nil {
					return wrong(cmd, "--view: %v", err)
				}
			}
			source, err := files.Read(true)
			if err != nil {
				return err
			}
			if err := (pipeline.Request{Front: source}).Check(); err != nil {
				return err
			}
			if err := beside.ReadClips(); err != nil {
				return err
			}
			track, said, err := reader(cmd).Track(cmd.Context(), points, source, v, teller(cmd))
			if err != nil {
				return err
			}
			warn(cmd, said)
			return writeOut(cmd, out, func(w io.Writer) error {
				_, err := w.Write(track)
				return err
			})
		},
	}
	cmd.Flags().StringVar(&files.Placements, "placements", "", "points placed by hand on some frames (`P.json`)")
	cmd.Flags().StringVar(&view, "view", "", "`VIEW`: front, side, side_left or side_right (default: as seen)")
	pointFlags(cmd.Flags(), &points)
	cmd.Flags().StringVarP(&out, "out", "o", "", "the track (`TRACK.csv`), or - for standard output")
	return cmd
}
